// The three sheets that take a value: a list to choose from, a keypad for
// numbers, a field for words. Each gives a promise of the value, or of undefined
// if it is left as it was. Buttons are large enough for a wet thumb.

const $ = (id) => document.getElementById(id);

function opened(dialog) {
  return new Promise((resolve) => {
    dialog.returned = undefined;
    const close = () => {
      dialog.removeEventListener('close', close);
      resolve(dialog.returned);
    };
    dialog.addEventListener('close', close);
    dialog.showModal();
    dialog.scrollTop = 0;
  });
}

function closeWith(dialog, value) {
  dialog.returned = value;
  dialog.close();
}

for (const dialog of document.querySelectorAll('dialog.sheet')) {
  dialog.querySelector('[data-close]').addEventListener('click', () => closeWith(dialog, undefined));
  dialog.addEventListener('click', (e) => {
    if (e.target === dialog) closeWith(dialog, undefined);
  });
}

function option(choice, pressed) {
  const b = document.createElement('button');
  b.type = 'button';
  b.className = 'option';
  b.setAttribute('aria-pressed', String(pressed));
  const name = document.createElement('span');
  name.className = 'option__name';
  name.textContent = choice.name;
  b.append(name);
  if (choice.note) {
    const note = document.createElement('span');
    note.className = 'option__note';
    note.textContent = choice.note;
    b.append(note);
  }
  return b;
}

/**
 * Chooses one. choices: {value, name, note?}.
 * @returns {Promise<string|undefined>}
 */
export function chooseOne(title, choices, current) {
  const dialog = $('choose');
  $('choose-title').textContent = title;
  dialog.querySelector('[data-close]').textContent = 'Leave as it was';
  $('choose-list').replaceChildren(
    ...choices.map((c) => {
      const b = option(c, c.value === current);
      b.addEventListener('click', () => closeWith(dialog, c.value));
      return b;
    }),
  );
  return opened(dialog);
}

/**
 * Chooses several; a choice with act does something of its own and closes.
 * @returns {Promise<{values: Set, act?: string}>}
 */
export async function chooseMany(title, choices, current) {
  const dialog = $('choose');
  const values = new Set(current);
  $('choose-title').textContent = title;
  dialog.querySelector('[data-close]').textContent = 'Done';
  $('choose-list').replaceChildren(
    ...choices.map((c) => {
      const b = option(c, values.has(c.value));
      if (c.act) {
        b.classList.add('option--act');
        b.removeAttribute('aria-pressed');
        b.addEventListener('click', () => closeWith(dialog, c.act));
        return b;
      }
      b.addEventListener('click', () => {
        if (!values.delete(c.value)) values.add(c.value);
        b.setAttribute('aria-pressed', String(values.has(c.value)));
      });
      return b;
    }),
  );
  const act = await opened(dialog);
  return { values, act };
}

/**
 * Types a number. keys: {minus?: boolean, unit?: string, steps?: number[]}.
 * @returns {Promise<string|undefined>} "" takes the value out
 */
export function typeNumber(title, current, keys = {}) {
  const dialog = $('keypad');
  const show = $('keypad-value');
  let text = String(current ?? '');
  let fresh = true; // the first digit replaces what was there
  const draw = () => (show.textContent = (text || '–') + (keys.unit ? ` ${keys.unit}` : ''));
  const press = (key) => {
    if (key === '⌫') text = fresh ? '' : text.slice(0, -1);
    else if (key === '±') text = text.startsWith('-') ? text.slice(1) : `-${text}`;
    else if (key === '.' && !fresh && text.includes('.')) return;
    else text = (fresh ? '' : text) + key;
    if (text.length > 9) text = text.slice(0, 9);
    fresh = false;
    draw();
  };
  const step = (by) => {
    text = String(Math.round((Number(text || 0) + by) * 100) / 100);
    fresh = true;
    draw();
  };
  const button = (label, name, act) => {
    const b = document.createElement('button');
    b.type = 'button';
    b.textContent = label;
    if (name) b.setAttribute('aria-label', name);
    b.addEventListener('click', act);
    return b;
  };
  const rows = ['1', '2', '3', '4', '5', '6', '7', '8', '9', keys.minus ? '±' : '', '0', '.'].map((k) => {
    if (k) return button(k, k === '±' ? 'change the sign' : k === '.' ? 'point' : '', () => press(k));
    return document.createElement('span');
  });
  const steps = (keys.steps ?? []).flatMap((s) => [button(`−${s}`, `less ${s}`, () => step(-s)), button(`+${s}`, `more ${s}`, () => step(s))]);
  const extra = document.createElement('div');
  extra.className = 'keypad__steps';
  extra.append(button('⌫', 'delete', () => press('⌫')), ...steps);
  $('keypad-title').textContent = title;
  $('keypad-keys').replaceChildren(...rows, extra);
  $('keypad-done').onclick = () => closeWith(dialog, text === '' || text === '-' ? '' : String(Number(text)));
  dialog.onkeydown = (e) => {
    if (/^[0-9.]$/.test(e.key)) press(e.key);
    else if (e.key === '-' && keys.minus) press('±');
    else if (e.key === 'Backspace') press('⌫');
    else if (e.key === 'Enter') $('keypad-done').click();
    else return;
    e.preventDefault();
  };
  draw();
  return opened(dialog);
}

/** Types words. @returns {Promise<string|undefined>} */
export function typeText(title, current) {
  const dialog = $('text');
  $('text-title').textContent = title;
  $('text-value').value = current ?? '';
  $('text-done').onclick = () => closeWith(dialog, $('text-value').value.trim());
  return opened(dialog);
}
