// Where an enlarged picture lies in its box. A view is { scale, x, y }: CSS
// pixels a picture pixel, and the place of the picture's upper left corner.

// MOST is the largest scale: four CSS pixels a picture pixel shows the grain.
export const MOST = 4;

// fitted is the whole picture, centred, never enlarged beyond its pixels.
export function fitted(size, box) {
  const scale = Math.min(1, box.width / size.width, box.height / size.height) || 1;
  return held({ scale, x: 0, y: 0 }, size, box);
}

// zoomedAt changes the scale by a factor about a point of the box, between the
// fitted scale and MOST.
export function zoomedAt(view, factor, x, y, size, box) {
  const least = fitted(size, box).scale;
  const scale = Math.min(MOST, Math.max(least, view.scale * factor));
  const ratio = scale / view.scale;
  return held({ scale, x: x - (x - view.x) * ratio, y: y - (y - view.y) * ratio }, size, box);
}

export function moved(view, dx, dy, size, box) {
  return held({ scale: view.scale, x: view.x + dx, y: view.y + dy }, size, box);
}

// held keeps the picture in its box: centred where it is smaller, without a gap
// at an edge where it is larger.
function held(view, size, box) {
  const along = (at, length, room) => (length <= room ? (room - length) / 2 : Math.min(0, Math.max(room - length, at)));
  return {
    scale: view.scale,
    x: along(view.x, size.width * view.scale, box.width),
    y: along(view.y, size.height * view.scale, box.height),
  };
}
