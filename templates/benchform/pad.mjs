// A field to sign in with a finger. It keeps the points of each stroke; the
// server makes the file of them.

const strokesMost = 300;
const pointsMost = 15_000;

/** @param {HTMLCanvasElement} canvas */
export function makePad(canvas) {
  const g = canvas.getContext('2d');
  let strokes = [];
  let points = 0;
  let drawing = null;

  const at = (e) => {
    const box = canvas.getBoundingClientRect();
    const clamp = (v, most) => Math.round(Math.min(most, Math.max(0, v)) * 10) / 10;
    return [clamp(((e.clientX - box.left) / box.width) * canvas.width, canvas.width), clamp(((e.clientY - box.top) / box.height) * canvas.height, canvas.height)];
  };

  function draw() {
    g.clearRect(0, 0, canvas.width, canvas.height);
    g.strokeStyle = getComputedStyle(canvas).color;
    g.lineWidth = 3;
    g.lineCap = g.lineJoin = 'round';
    for (const stroke of strokes) {
      g.beginPath();
      g.moveTo(...stroke[0]);
      for (const p of stroke) g.lineTo(...p);
      if (stroke.length === 1) g.lineTo(stroke[0][0] + 0.1, stroke[0][1]);
      g.stroke();
    }
  }

  canvas.addEventListener('pointerdown', (e) => {
    if (strokes.length >= strokesMost) return;
    canvas.setPointerCapture(e.pointerId);
    drawing = [at(e)];
    strokes.push(drawing);
    points++;
    draw();
    e.preventDefault();
  });
  canvas.addEventListener('pointermove', (e) => {
    if (!drawing || points >= pointsMost) return;
    drawing.push(at(e));
    points++;
    draw();
  });
  const end = () => (drawing = null);
  canvas.addEventListener('pointerup', end);
  canvas.addEventListener('pointercancel', end);

  return {
    clear() {
      strokes = [];
      points = 0;
      draw();
    },
    draw,
    /** The signature as it is sent; without strokes it is empty. */
    value() {
      return strokes.length ? { strokes, width: canvas.width, height: canvas.height } : {};
    },
  };
}
