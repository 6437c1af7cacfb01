// Where on the plan a point of the photo lies, free of the DOM. The server fits the photo's geometry and sends it as an aim; here it is only
// applied. An aim is {plan, lambda, width, height, cameraX, cameraY, below, pm}: see Aim in the survey's geometry for what each means.

/** ideal is where a lens without error would have put the pixel u, v; null where the lens model folds over. */
function ideal({ lambda, width, height }, u, v) {
  const cx = width / 2, cy = height / 2, dx = u - cx, dy = v - cy, stretch = 1 + lambda * (dx * dx + dy * dy) / (cx * cx + cy * cy);
  return stretch > 0 ? [cx + dx / stretch, cy + dy / stretch] : null;
}

/** between is the ± at a fraction of the picture, between the middles of the grid's cells; 0 where one of them has no position. */
function between(pm, f) {
  const rows = pm.length, columns = pm[0]?.length ?? 0;
  const place = (v, n) => Math.max(0, Math.min(n - 1, v * n - 0.5));
  const y = place(f.y, rows), x = place(f.x, columns), i = Math.min(Math.floor(y), rows - 2), j = Math.min(Math.floor(x), columns - 2);
  const four = [pm[i][j], pm[i][j + 1], pm[i + 1][j], pm[i + 1][j + 1]];
  if (four.some((v) => !(v > 0))) return 0;
  const a = x - j, b = y - i;
  return four[0] * (1 - a) * (1 - b) + four[1] * a * (1 - b) + four[2] * (1 - a) * b + four[3] * a * b;
}

/**
 * planPlace is the plan position {x, y, pm} in inches of a fraction of the picture, for something that hangs drop inches below the joists' bottoms;
 * null beyond the horizon and where the position would be too uncertain.
 */
export function planPlace(aim, f, drop = 0) {
  const at = ideal(aim, f.x * aim.width, f.y * aim.height), pm = between(aim.pm, f);
  if (!at || pm === 0) return null;
  const [u, v] = at, m = aim.plan, w = m[6] * u + m[7] * v + m[8];
  if (!(w > 0)) return null;
  const x = (m[0] * u + m[1] * v + m[2]) / w, y = (m[3] * u + m[4] * v + m[5]) / w;
  const near = drop && aim.below > 0 ? drop / aim.below : 0;
  return { x: x - (x - aim.cameraX) * near, y: y - (y - aim.cameraY) * near, pm };
}
