// Fingers and mouse on a stage: swipe, drag, pinch, wheel, double tap.

const SWIPE = 60; // CSS pixels to the next picture
const TWICE = 320; // milliseconds between two taps
const STILL = 12; // CSS pixels that a tap may wander

/**
 * Follows the pointers on stage and calls acts; points are measured from the
 * stage's centre.
 * @param {HTMLElement} stage
 * @param {{isWhole: () => boolean, zoom: Function, move: Function, drag: Function, swipe: Function, twice: Function}} acts
 */
export function followPointers(stage, acts) {
  const down = new Map();
  let begin = null; // where a single pointer went down
  let tap = { time: 0, x: 0, y: 0 };

  const from = (e) => {
    const box = stage.getBoundingClientRect();
    return { x: e.clientX - box.left - box.width / 2, y: e.clientY - box.top - box.height / 2 };
  };
  const spread = ([a, b]) => ({ x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, apart: Math.hypot(a.x - b.x, a.y - b.y) || 1 });

  stage.addEventListener('pointerdown', (e) => {
    if (e.button !== 0) return;
    stage.setPointerCapture(e.pointerId);
    down.set(e.pointerId, from(e));
    begin = down.size === 1 ? { ...from(e), swiping: acts.isWhole() } : null;
    if (down.size === 2) acts.drag(0);
  });

  stage.addEventListener('pointermove', (e) => {
    const was = down.get(e.pointerId);
    if (!was) return;
    const before = down.size === 2 && spread([...down.values()]);
    const now = from(e);
    down.set(e.pointerId, now);
    if (before) {
      const after = spread([...down.values()]);
      acts.zoom(after.apart / before.apart, after.x, after.y);
      acts.move(after.x - before.x, after.y - before.y);
    } else if (down.size === 1 && begin?.swiping) {
      acts.drag(now.x - begin.x);
    } else if (down.size === 1) {
      acts.move(now.x - was.x, now.y - was.y);
    }
  });

  const up = (e) => {
    if (!down.has(e.pointerId)) return;
    const now = from(e);
    down.delete(e.pointerId);
    if (down.size > 0 || !begin) return;
    acts.drag(0);
    const way = now.x - begin.x;
    const moved = Math.hypot(way, now.y - begin.y);
    if (begin.swiping && e.type === 'pointerup' && Math.abs(way) > SWIPE && Math.abs(way) > Math.abs(now.y - begin.y)) {
      acts.swipe(way < 0 ? 1 : -1);
    } else if (moved < STILL && e.type === 'pointerup') {
      const again = e.timeStamp - tap.time < TWICE && Math.hypot(now.x - tap.x, now.y - tap.y) < 2 * STILL;
      tap = again ? { time: 0, x: 0, y: 0 } : { time: e.timeStamp, x: now.x, y: now.y };
      if (again) acts.twice(now.x, now.y);
    }
    begin = null;
  };
  stage.addEventListener('pointerup', up);
  stage.addEventListener('pointercancel', up);

  stage.addEventListener('wheel', (e) => {
    e.preventDefault();
    const lines = e.deltaMode === 1 ? 16 : 1;
    const { x, y } = from(e);
    acts.zoom(Math.exp(-e.deltaY * lines * 0.0022), x, y);
  }, { passive: false });
}
