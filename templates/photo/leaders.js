// Where the heads of pins stand, free of the DOM. The rules and distances are those of PlaceHeads in templates/leaders.go; both are
// tested against testdata/leaders.json.

const INSET = 18, HEAD_GAP = 38, POINT_GAP = 22, LEADER_GAP = 20, POINT_SCORE = 4;

/**
 * placeHeads finds a place for each head on a picture of w by h px: [{dx, dy}], one for each pin, px right and down of its anchor.
 * @param {{x: number, y: number, x2?: number, y2?: number, on?: boolean}[]} pins fractions of the picture
 */
export function placeHeads(w, h, pins) {
  const field = makeField(w, h, pins);
  const heads = new Array(pins.length);
  for (const on of [true, false]) {
    pins.forEach((p, i) => { if (Boolean(p.on) === on) heads[i] = place(field, i, on); });
  }
  return heads;
}

/** anchor is the point in px that a pin's head belongs to: its point, or the middle of its line. */
export function anchor(w, h, p) {
  return hasTwo(p) ? { x: (p.x * w + p.x2 * w) / 2, y: (p.y * h + p.y2 * h) / 2 } : { x: p.x * w, y: p.y * h };
}

const hasTwo = (p) => p.x2 !== undefined && p.x2 !== null && p.y2 !== undefined && p.y2 !== null;

function makeField(w, h, pins) {
  const field = { w, h, points: [], anchors: [], heads: [], lines: [] };
  pins.forEach((p, i) => {
    const a = { x: p.x * w, y: p.y * h };
    field.points.push([a]);
    field.anchors.push(anchor(w, h, p));
    if (hasTwo(p)) {
      const b = { x: p.x2 * w, y: p.y2 * h };
      field.points[i] = [a, b];
      field.lines.push({ of: i, a, b });
    }
  });
  return field;
}

function place(field, i, on) {
  let best = { dx: 0, dy: 0 }, bestCost = Infinity;
  for (const c of candidates(on)) {
    const cost = costOf(field, i, c);
    if (cost < bestCost - 1e-9) [best, bestCost] = [c, cost];
    if (bestCost === 0) break;
  }
  const p = field.anchors[i], head = { x: p.x + best.dx, y: p.y + best.dy };
  field.heads.push(head);
  if (best.dx !== 0 || best.dy !== 0) field.lines.push({ of: i, a: p, b: head });
  return best;
}

function candidates(on) {
  const list = on ? [{ dx: 0, dy: 0 }] : [];
  for (const d of [36, 46, 56]) {
    const q = Math.floor(d * Math.SQRT2 / 2 + 0.5);
    for (const [dx, dy] of [[0, d], [q, q], [-q, q], [d, 0], [-d, 0], [0, -d], [q, -q], [-q, -q]]) list.push({ dx, dy });
  }
  return list;
}

function costOf(field, i, c) {
  const p = field.anchors[i], head = { x: p.x + c.dx, y: p.y + c.dy };
  let cost = short(INSET, head.x) + short(INSET, field.w - head.x) + short(INSET, head.y) + short(INSET, field.h - head.y);
  field.points.forEach((points, j) => {
    if (j === i && points.length === 1) return;
    for (const q of points) cost += POINT_SCORE * close(POINT_GAP, q.x - head.x, q.y - head.y);
  });
  for (const other of field.heads) {
    cost += close(HEAD_GAP, other.x - head.x, other.y - head.y) + beside(LEADER_GAP, p, head, other);
  }
  for (const line of field.lines) if (line.of !== i) cost += beside(LEADER_GAP, line.a, line.b, head);
  return cost;
}

const short = (gap, d) => (d >= gap - 1e-9 ? 0 : gap - d);

// close is how much a distance of dx, dy falls short of gap.
function close(gap, dx, dy) {
  return Math.abs(dx) >= gap || Math.abs(dy) >= gap ? 0 : short(gap, Math.sqrt(dx * dx + dy * dy));
}

// beside is how much the distance from q to the nearest point of the line from a to b falls short of gap.
function beside(gap, a, b, q) {
  if (q.x <= Math.min(a.x, b.x) - gap || q.x >= Math.max(a.x, b.x) + gap || q.y <= Math.min(a.y, b.y) - gap || q.y >= Math.max(a.y, b.y) + gap) return 0;
  const dx = b.x - a.x, dy = b.y - a.y, n = dx * dx + dy * dy;
  const t = n > 0 ? Math.max(0, Math.min(1, ((q.x - a.x) * dx + (q.y - a.y) * dy) / n)) : 0;
  return close(gap, a.x + t * dx - q.x, a.y + t * dy - q.y);
}
