// What counts as the same: two versions of a pin, of a survey's fields, of a fact.

const text = (values) => JSON.stringify(Object.entries(values ?? {}).filter(([, v]) => v !== '').sort());

/** samePin tells whether two versions of a pin say the same; null is no pin. */
export function samePin(a, b) {
  if (!a || !b) return a === b;
  return a.kind === b.kind && a.x === b.x && a.y === b.y && (a.x2 ?? null) === (b.x2 ?? null) && (a.y2 ?? null) === (b.y2 ?? null) &&
    (a.note ?? '') === (b.note ?? '') && text(a.values) === text(b.values);
}

/** same compares what an op wants with another version of it. */
export function same(kind, a, b) {
  if (kind === 'pin') return samePin(a ?? null, b ?? null);
  if (kind === 'survey') return text(a) === text(b);
  return (a ?? '') === (b ?? '');
}
