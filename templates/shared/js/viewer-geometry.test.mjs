// node --test
import test from "node:test";
import assert from "node:assert/strict";
import { MOST, fitted, moved, zoomedAt } from "./viewer-geometry.mjs";

const size = { width: 2400, height: 3000 };
const box = { width: 800, height: 600 };

test("the whole picture is centred and fits", () => {
  assert.deepEqual(fitted(size, box), { scale: 0.2, x: 160, y: 0 });
});

test("a picture smaller than the box is not enlarged", () => {
  assert.deepEqual(fitted({ width: 200, height: 100 }, box), { scale: 1, x: 300, y: 250 });
});

test("the point under the finger stays", () => {
  let view = fitted(size, box);
  for (const factor of [3, 1.7, 0.9]) {
    const before = { x: (400 - view.x) / view.scale, y: (300 - view.y) / view.scale };
    view = zoomedAt(view, factor, 400, 300, size, box);
    assert.ok(Math.abs((400 - view.x) / view.scale - before.x) < 1e-9);
    assert.ok(Math.abs((300 - view.y) / view.scale - before.y) < 1e-9);
  }
});

test("scale stays between the whole picture and the grain", () => {
  const view = fitted(size, box);
  assert.equal(zoomedAt(view, 1e6, 0, 0, size, box).scale, MOST);
  assert.deepEqual(zoomedAt(view, 1e-6, 0, 0, size, box), view);
});

test("no gap opens at an edge", () => {
  const view = zoomedAt(fitted(size, box), 10, 400, 300, size, box);
  const far = moved(view, 1e6, -1e6, size, box);
  assert.equal(far.x, 0);
  assert.equal(far.y, box.height - size.height * view.scale);
});
