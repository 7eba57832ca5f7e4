// Consent at the shoot: the words are read aloud, each question is answered, and
// the person signs. What is not answered is a no.

import { makePad } from './pad.mjs';
import { newID } from './store.mjs';

const $ = (id) => document.getElementById(id);

const questions = [
  ['portfolio', 'portfolio'],
  ['show_name', 'name'],
  ['promotion', 'promotion'],
];

function choiceRow(choices, current, choose) {
  const row = document.createElement('div');
  row.className = 'row__choices';
  for (const [value, name] of choices) {
    const b = document.createElement('button');
    b.type = 'button';
    b.textContent = name;
    b.setAttribute('aria-pressed', String(value === current));
    b.addEventListener('click', () => {
      for (const other of row.children) other.setAttribute('aria-pressed', String(other === b));
      choose(value);
    });
    row.append(b);
  }
  return row;
}

/** The last day of so many years from now, or "" for no end. */
function untilDay(years, now = new Date()) {
  if (!years) return '';
  const d = new Date(Date.UTC(now.getFullYear() + years, now.getMonth(), now.getDate()));
  return d.toISOString().slice(0, 10);
}

/**
 * @param {(item: object, person: object) => Promise<void>} keep keeps an answer on the device
 */
export function makeConsent(keep) {
  const pad = makePad($('pad'));
  let answers = {};
  let years = 0;

  function reset(state) {
    const words = state.consent;
    answers = {};
    years = 0;
    $('consent').reset();
    pad.clear();
    $('c-problem').textContent = '';
    $('c-before').textContent = words.before;
    $('c-after').textContent = words.after;
    $('c-guardian-words').textContent = words.guardian;
    $('c-caution').textContent = state.caution;
    $('c-questions').replaceChildren(
      ...questions.map(([key, word]) => {
        const set = document.createElement('fieldset');
        set.className = 'question';
        const legend = document.createElement('legend');
        legend.textContent = words[word];
        const answer = choiceRow([[true, words.yes], [false, words.no]], undefined, (v) => (answers[key] = v));
        set.append(legend, answer);
        return set;
      }),
    );
    $('c-until').querySelector('.row__choices').replaceWith(
      choiceRow([[0, 'until taken back'], [1, '1 year'], [5, '5 years'], [10, '10 years']], 0, (v) => (years = v)),
    );
    minor();
  }

  function minor() {
    const under = $('c-minor').checked;
    $('c-guardian-field').hidden = $('c-guardian-words').hidden = !under;
    $('sign-label').textContent = under ? 'Signature of the parent or guardian' : 'Signature';
  }

  /** What stands in the way of keeping the answer, and where. */
  function problem(body) {
    if (!body.name) return ['Write the person’s name. It is shown only if they agree to that.', 'c-name'];
    if (body.minor && !body.guardian) return ['Write the name of the parent or guardian.', 'c-guardian'];
    const agreed = body.portfolio || body.show_name || body.promotion;
    if (agreed && !body.signature.strokes && !body.signature.typed) return ['Where something is agreed to, a signature is needed, drawn or typed.', 'c-typed'];
    return null;
  }

  $('c-minor').addEventListener('change', minor);
  $('pad-clear').addEventListener('click', () => pad.clear());
  $('consent').addEventListener('submit', async (e) => {
    e.preventDefault();
    const typed = $('c-typed').value.trim();
    const body = {
      id: newID(),
      at: new Date().toISOString(),
      name: $('c-name').value.trim(),
      minor: $('c-minor').checked,
      portfolio: answers.portfolio === true,
      show_name: answers.show_name === true,
      promotion: answers.promotion === true,
      signature: typed ? { typed, ...pad.value() } : pad.value(),
    };
    if (body.minor) body.guardian = $('c-guardian').value.trim();
    if (years) body.until = untilDay(years);
    const found = problem(body);
    $('c-problem').textContent = found ? found[0] : '';
    if (found) {
      $(found[1]).focus();
      return;
    }
    try {
      await keep({ kind: 'consent', id: body.id, state: 'waiting', made: Date.now(), label: `Consent of ${body.name}`, body }, { entry: body.id, name: body.name });
    } catch (error) {
      $('c-problem').textContent = `Not saved: ${error.message}. Try again.`;
    }
  });
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => pad.draw());

  return { reset };
}
