// What the keys of the length pad mean, free of the DOM. Keys are "0" to "9", "ft", "in", "/2", "/4", "/8", "/16" and "-", in the order pressed.
// A unit key ends a number; a fraction key takes the last digits that make a fraction below one; inches after feet stay below twelve. What can be
// read in two ways is given as two readings: the person says which. A reading's text is one that the server reads as the same inches, and a text
// that is not decided is one that the server refuses. The vectors of testdata/pad hold both sides to this.

const MOST_DIGITS = 5;
const digit = (key) => key >= '0' && key <= '9' && key.length === 1;

// scan sorts the keys: feet and whole are digits that a unit key ended, digits those still open, of the fraction's denominator, 0 without.
function scan(keys) {
  const s = { minus: false, feet: null, whole: null, digits: '', of: 0, ended: false };
  for (const key of keys) {
    if (key === '-') s.minus = !s.minus;
    else if (digit(key)) s.digits += key;
    else if (key === 'ft') Object.assign(s, { feet: s.digits, digits: '' });
    else if (key === 'in' && s.of) s.ended = true;
    else if (key === 'in') Object.assign(s, { whole: s.digits, digits: '' });
    else s.of = Number(key.slice(1));
  }
  return s;
}

// splits are the ways to cut the open digits into whole inches and a numerator from 1 to below the denominator.
function splits({ whole, feet, digits }, of) {
  const found = [];
  for (let i = 0; i < digits.length; i++) {
    const n = digits.slice(i);
    if (n[0] !== '0' && Number(n) < of) found.push({ whole: Number(digits.slice(0, i)), n: Number(n) });
  }
  if (whole !== null) return found.filter((f) => f.n === Number(digits) && f.whole === 0).map((f) => ({ whole: Number(whole), n: f.n }));
  const small = found.filter((f) => f.whole < 12);
  return feet !== null && small.length > 0 ? small : found;
}

/** refusal says why a key cannot follow the keys; empty when it can. */
export function refusal(keys, key) {
  const s = scan(keys), open = s.digits !== '';
  if (key === '-') return '';
  if (digit(key)) {
    if (s.of) return 'A fraction ends the length.';
    return s.digits.length < MOST_DIGITS ? '' : 'No length has so many digits.';
  }
  if (key === 'ft') {
    if (s.feet !== null) return 'There are feet already.';
    if (s.whole !== null || s.of) return 'Feet come before inches.';
    return open ? '' : 'Type the feet first.';
  }
  if (key === 'in') {
    if (s.of) return s.ended ? 'The length has ended.' : '';
    if (s.whole !== null) return 'There are inches already.';
    return open ? '' : 'Type the inches first.';
  }
  if (s.of) return 'There is a fraction already.';
  return splits(s, Number(key.slice(1))).length > 0 ? '' : `Before ${key} come digits that make a fraction below one.`;
}

/** typed writes the keys as they were pressed: 28 ft 4, 915 /16. */
export function typed(keys) {
  const minus = scan(keys).minus ? '-' : '';
  return minus + keys.filter((k) => k !== '-').map((k) => (digit(k) ? k : k[0] === '/' ? ` ${k}` : ` ${k} `)).join('').replace(/ +/g, ' ').trim();
}

/** readings are the lengths that the keys can mean: [{text, inches, keys}], the smaller first, each with keys that mean it alone; none while something is missing, two where the person must say which. */
export function readings(keys) {
  const s = scan(keys);
  if (s.of) return splits(s, s.of).map((f) => reading(s, f.whole, f.n)); // the longer numerator comes first
  if (s.whole !== null && s.digits !== '') return []; // the fraction key is still to come
  const whole = s.whole ?? s.digits;
  if (whole === '' && s.feet === null) return [];
  return [reading(s, whole === '' ? null : Number(whole), 0)];
}

function reading(s, whole, n) {
  const part = n ? `${n}/${s.of}` : '', inches = [whole || (whole === 0 && !n) ? String(whole) : '', part].filter(Boolean).join(' ');
  const text = (s.minus ? '-' : '') + [s.feet === null ? '' : `${Number(s.feet)}'`, inches].filter(Boolean).join(' ');
  const keys = [...(s.minus ? ['-'] : []), ...(s.feet === null ? [] : [...s.feet, 'ft']), ...(whole || n > 9 || whole === 0 && !n ? [...String(whole), 'in'] : []), ...(n ? [...String(n), `/${s.of}`] : [])];
  const size = Number(s.feet ?? 0) * 12 + (whole ?? 0) + (n ? n / s.of : 0);
  return { text, inches: s.minus ? -size : size, keys };
}

/**
 * likely judges a length by what it names: null when it lies from low to high inches (high 0: no bound), else the lengths that were probably meant,
 * at most two: bare digits as feet, or as feet and inches; feet alone as inches. The survey's Likely in Go says the same.
 */
export function likely(inches, text, low, high) {
  const fits = (v) => v >= low && (high === 0 || v <= high);
  if (fits(Math.abs(inches))) return null;
  const bare = /^(\d+)(')?$/.exec(text.trim()), meant = [];
  if (bare?.[2]) meant.push(Number(bare[1]));
  else if (bare) {
    meant.push(Number(bare[1]) * 12);
    for (let i = 1; i < bare[1].length; i++) {
      const feet = bare[1].slice(0, i), rest = bare[1].slice(i);
      if (Number(rest) < 12 && (rest.length === 1 || rest[0] !== '0')) meant.push(Number(feet) * 12 + Number(rest));
    }
  }
  return [...new Set(meant.filter(fits))].slice(0, 2);
}
