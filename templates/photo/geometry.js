// Geometry of the stage, free of the DOM. A frame is where the whole photo lies inside the stage at zoom 1: {width, height} of the
// stage and {x, y, w, h} of the photo, in CSS px. A view is {zoom, x, y}: x and y are the photo's top left corner in the stage, its
// size is w * zoom by h * zoom. A fraction is {x, y} of the upright picture, 0 at its left and top, 1 at its right and bottom.

/** The farthest zoom; at it one pixel of a 12 megapixel photo is larger than one CSS px on any screen. */
export const MAX_ZOOM = 16;

/** home shows the whole photo. */
export const home = (frame) => ({ zoom: 1, x: frame.x, y: frame.y });

const limit = (v, lo, hi) => Math.max(lo, Math.min(hi, v));

// along keeps one axis in place: centred when the photo is smaller than the stage, else without a gap at either end.
function along(stage, size, at) {
  return size <= stage ? (stage - size) / 2 : limit(at, stage - size, 0);
}

/** clamp keeps the photo in the stage and the zoom within 1 and MAX_ZOOM. */
export function clamp(frame, view) {
  const zoom = limit(view.zoom, 1, MAX_ZOOM);
  return { zoom, x: along(frame.width, frame.w * zoom, view.x), y: along(frame.height, frame.h * zoom, view.y) };
}

/** zoomAbout changes the zoom by a factor; the point of the photo at px, py of the stage stays there unless clamping moves it. */
export function zoomAbout(frame, view, px, py, factor) {
  const zoom = limit(view.zoom * factor, 1, MAX_ZOOM), k = zoom / view.zoom;
  return clamp(frame, { zoom, x: px - (px - view.x) * k, y: py - (py - view.y) * k });
}

/** panBy moves the photo by dx, dy px. */
export const panBy = (frame, view, dx, dy) => clamp(frame, { zoom: view.zoom, x: view.x + dx, y: view.y + dy });

/** pinch is the view after two fingers went from a0, b0 to a1, b1: the points under them stay under them. */
export function pinch(frame, view, a0, b0, a1, b1) {
  const before = Math.hypot(b0.x - a0.x, b0.y - a0.y), after = Math.hypot(b1.x - a1.x, b1.y - a1.y);
  const zoom = limit(view.zoom * (before > 0 ? after / before : 1), 1, MAX_ZOOM), k = zoom / view.zoom;
  const m0 = { x: (a0.x + b0.x) / 2, y: (a0.y + b0.y) / 2 }, m1 = { x: (a1.x + b1.x) / 2, y: (a1.y + b1.y) / 2 };
  return clamp(frame, { zoom, x: m1.x - (m0.x - view.x) * k, y: m1.y - (m0.y - view.y) * k });
}

/** toFraction is the place on the picture under px, py of the stage; it may lie outside 0..1. */
export const toFraction = (frame, view, px, py) => ({ x: (px - view.x) / (frame.w * view.zoom), y: (py - view.y) / (frame.h * view.zoom) });

/** toStage is where a fraction lies in the stage, in px. */
export const toStage = (frame, view, f) => ({ x: view.x + f.x * frame.w * view.zoom, y: view.y + f.y * frame.h * view.zoom });

/** inside tells whether a fraction lies on the picture. */
export const inside = (f) => f.x >= 0 && f.x <= 1 && f.y >= 0 && f.y <= 1;

/** onPicture moves a fraction to the nearest place on the picture. */
export const onPicture = (f) => ({ x: limit(f.x, 0, 1), y: limit(f.y, 0, 1) });

/** moved shifts a pin ({x, y, x2?, y2?}) by fractions. end is 1, 2 or 0 for the whole pin, which keeps its shape at the border. */
export function moved(pin, end, dx, dy) {
  if (end === 2) {
    const at = onPicture({ x: pin.x2 + dx, y: pin.y2 + dy });
    return { ...pin, x2: at.x, y2: at.y };
  }
  if (end === 1 || pin.x2 === undefined || pin.x2 === null) {
    return { ...pin, ...onPicture({ x: pin.x + dx, y: pin.y + dy }) };
  }
  const sx = limit(dx, -Math.min(pin.x, pin.x2), 1 - Math.max(pin.x, pin.x2));
  const sy = limit(dy, -Math.min(pin.y, pin.y2), 1 - Math.max(pin.y, pin.y2));
  return { ...pin, x: limit(pin.x + sx, 0, 1), y: limit(pin.y + sy, 0, 1), x2: limit(pin.x2 + sx, 0, 1), y2: limit(pin.y2 + sy, 0, 1) };
}

/** lensBox is the part of the picture that a lens of size px shows at times its screen size, in pixels of the picture. */
export function lensBox(frame, view, photo, f, size, times) {
  const w = size / times * photo.width / (frame.w * view.zoom), h = size / times * photo.height / (frame.h * view.zoom);
  return { x: f.x * photo.width - w / 2, y: f.y * photo.height - h / 2, w, h };
}

/** nearest picks the handle under px, py: handles are {x, y, reach}; -1 when none is within its reach. */
export function nearest(handles, px, py) {
  let best = -1, least = Infinity;
  handles.forEach((h, i) => {
    const d = Math.hypot(h.x - px, h.y - py);
    if (d <= h.reach && d < least) [best, least] = [i, d];
  });
  return best;
}
