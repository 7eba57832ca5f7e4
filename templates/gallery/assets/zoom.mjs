// How a picture lies in its frame: numbers only, no elements.

// On a large window the whole picture keeps a margin of its ground.
const AIRY = 700; // CSS pixels
const MARGIN = 0.95;

const clamp = (v, lo, hi) => Math.min(Math.max(v, lo), hi);

/**
 * A picture of given pixels in a frame. zoom is 1 when the whole picture is
 * seen; x and y move its centre from the frame's centre, in CSS pixels.
 */
export class Zoom {
  constructor(pixelWidth, pixelHeight) {
    this.pixelWidth = pixelWidth;
    this.pixelHeight = pixelHeight;
    this.reset();
    this.resize(1, 1);
  }

  reset() {
    this.zoom = 1;
    this.x = 0;
    this.y = 0;
  }

  resize(frameWidth, frameHeight) {
    this.frameWidth = frameWidth;
    this.frameHeight = frameHeight;
    const margin = Math.min(frameWidth, frameHeight) >= AIRY ? MARGIN : 1;
    this.fit = margin * Math.min(frameWidth / this.pixelWidth, frameHeight / this.pixelHeight);
    this.#keep();
  }

  get width() {
    return this.pixelWidth * this.fit * this.zoom;
  }

  get height() {
    return this.pixelHeight * this.fit * this.zoom;
  }

  /** The closest one can go: two CSS pixels for one of the scan, at least 3 ×. */
  get closest() {
    return Math.max(3, 2 / this.fit);
  }

  get whole() {
    return this.zoom <= 1.001;
  }

  /** Zooms by a factor, the point (px, py) from the frame's centre staying put. */
  by(factor, px = 0, py = 0) {
    const zoom = clamp(this.zoom * factor, 1, this.closest);
    const real = zoom / this.zoom;
    this.x = px - (px - this.x) * real;
    this.y = py - (py - this.y) * real;
    this.zoom = zoom;
    this.#keep();
  }

  move(dx, dy) {
    this.x += dx;
    this.y += dy;
    this.#keep();
  }

  // No side of the picture comes away from the frame's side.
  #keep() {
    const room = (picture, frame) => Math.max(0, (picture - frame) / 2);
    this.x = clamp(this.x, -room(this.width, this.frameWidth), room(this.width, this.frameWidth));
    this.y = clamp(this.y, -room(this.height, this.frameHeight), room(this.height, this.frameHeight));
  }
}

/**
 * A scale bar: the longest of 1, 2, 5, 10, … mm that is at most so many pixels.
 * @returns {{mm: number, pixels: number}}
 */
export function scaleBar(pixelsPerMM, atMost) {
  let best = 0;
  for (let power = 0.1; power <= 100; power *= 10) {
    for (const step of [1, 2, 5]) {
      const mm = step * power;
      if (mm * pixelsPerMM <= atMost && mm > best) best = mm;
    }
  }
  best = Number(best.toPrecision(1)); // 0.1 · 10 · 10 · 10 is not quite 100
  return { mm: best, pixels: best * pixelsPerMM };
}
