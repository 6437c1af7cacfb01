import { svg } from '../photo/dom.js';

/** sign is the sign of a weight. */
export const sign = (weight) => svg('svg', { class: 'w', viewBox: '0 0 28 28', 'aria-hidden': 'true' }, svg('use', { href: `#w-${weight}` }));
