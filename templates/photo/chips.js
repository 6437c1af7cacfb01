// Which texts over the photo have room, and where the chips of the notches stand, free of the DOM; the server places them in the same way for the
// smallest screen. A box is {x, y, w, h} in px.

const inside = (b, area) => b.x >= 0 && b.y >= 0 && b.x + b.w <= area.w && b.y + b.h <= area.h;

const meet = (a, b) => a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h;

/** fitting tells for each box whether it is shown: within the area {w, h}, clear of what is taken and of those shown before it. */
export function fitting(boxes, taken, area) {
  const shown = [...taken];
  return boxes.map((box) => {
    const free = inside(box, area) && !shown.some((other) => meet(box, other));
    if (free) shown.push(box);
    return free;
  });
}

/**
 * placeChips finds a place for each chip, {x, y, wide}: the place of its notch and the chip's width in px. It tries the places around the notch, above
 * first; where none is free, free is false and the place is the first that lies in the area. Each answer is {dx, dy, free}.
 */
export function placeChips(chips, taken, area) {
  const shown = [...taken];
  return chips.map(({ x, y, wide }) => {
    const ways = [-42, -64, 42, 64].flatMap((dy) => [0, wide / 2 - 6, 6 - wide / 2].map((dx) => ({ dx, dy })));
    const box = ({ dx, dy }) => ({ x: x + dx - wide / 2 - 1, y: y + dy - 11, w: wide + 2, h: 22 });
    const way = ways.find((w) => inside(box(w), area) && !shown.some((other) => meet(box(w), other)));
    if (way) shown.push(box(way));
    return { ...(way ?? ways.find((w) => inside(box(w), area)) ?? ways[0]), free: Boolean(way) };
  });
}
