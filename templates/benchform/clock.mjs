// A clock that fills seconds in. It is a tap to start and a tap to stop; where it
// stands is kept as the moment it was started, so that it runs on when the page
// is closed and opened again.

/** A tap so soon after the last one is a drop of water, not a finger. */
const bounceMillis = 350;

/** Seconds as they are kept: tenths under a minute, whole ones above. */
export function roundSeconds(seconds) {
  return seconds < 60 ? Math.max(0.1, Math.round(seconds * 10) / 10) : Math.round(seconds);
}

/** Seconds as they are shown: 8.2, and from a minute on 1:05. */
export function showSeconds(seconds, running = false) {
  if (seconds < 60) return seconds.toFixed(running || seconds % 1 ? 1 : 0);
  const whole = Math.floor(seconds);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')}`;
}

/**
 * @param {HTMLElement} box the clock's element
 * @param {{onStart: Function, onStop: Function, onEdit: Function, onLast: Function}} on
 */
export function makeClock(box, on) {
  const run = box.querySelector('.clock__run');
  const digits = box.querySelector('.clock__digits');
  const what = box.querySelector('.clock__what');
  const rail = box.querySelector('.clock__rail');
  const lastButton = box.querySelector('.clock__last');
  const whose = document.createElement('span');
  whose.className = 'unseen';
  whose.textContent = `${box.querySelector('.clock__name').textContent}: `;
  let started = 0;
  let seconds = 0;
  let last = 0;
  let tapped = 0;
  let frame = 0;

  function tick() {
    if (!started) return;
    const now = (Date.now() - started) / 1000;
    digits.textContent = showSeconds(now, true);
    if (last) rail.style.setProperty('--done', Math.min(1, now / last));
    box.classList.toggle('clock--past', last > 0 && now >= last);
    frame = requestAnimationFrame(tick);
  }

  function draw() {
    cancelAnimationFrame(frame);
    box.dataset.state = started ? 'running' : seconds ? 'done' : 'idle';
    box.classList.remove('clock--past');
    lastButton.hidden = Boolean(started || seconds || !last);
    lastButton.replaceChildren(whose, 'As last', document.createElement('br'), `${showSeconds(last)}\u00a0s`);
    // A tick a second on the rail, up to the seconds of the plate before.
    rail.hidden = !last || !started;
    rail.style.setProperty('--ticks', Math.max(1, Math.min(90, last)));
    // Digits that run are not read out; those that stand are.
    digits.setAttribute('aria-hidden', String(!seconds || Boolean(started)));
    if (started) {
      what.textContent = 'Tap to stop';
      tick();
      return;
    }
    digits.textContent = showSeconds(seconds);
    what.textContent = seconds ? 'seconds, tap to correct' : 'Tap to start';
  }

  run.addEventListener('click', () => {
    const now = Date.now();
    if (now - tapped < bounceMillis) return;
    tapped = now;
    if (started) {
      seconds = roundSeconds((now - started) / 1000);
      started = 0;
      draw();
      on.onStop(seconds);
    } else if (seconds) {
      on.onEdit(seconds);
    } else {
      started = now;
      draw();
      on.onStart(started);
    }
  });
  lastButton.addEventListener('click', () => on.onLast(last));

  return {
    /** Shows where the clock stands. */
    set(state) {
      started = state.started ?? 0;
      seconds = Number(state.seconds ?? 0) || 0;
      last = Number(state.last ?? 0) || 0;
      draw();
    },
  };
}
