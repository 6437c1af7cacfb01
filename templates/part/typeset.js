// Lengths as the pages print them.

/** typeset prints inches to the nearest sixteenth as the pages do: 9′ 8 1/2″, with no-break spaces; up rounds away from nothing. */
export function typeset(inches, up = false) {
  const n = up ? Math.ceil(Math.abs(inches) * 16 - 1e-6) : Math.round(Math.abs(inches) * 16), feet = Math.floor(n / 192), whole = Math.floor((n % 192) / 16);
  let part = n % 16, of = 16;
  while (part && part % 2 === 0) [part, of] = [part / 2, of / 2];
  let text = (inches < 0 && n > 0 ? '-' : '') + (feet ? `${feet}′\u00a0` : '');
  if (part && (whole || feet)) text += `${whole}\u00a0${part}/${of}`;
  else text += part ? `${part}/${of}` : whole;
  return `${text}″`;
}
