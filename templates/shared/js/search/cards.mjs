// A result card: a clone of the page's template with a card's values put in.
// Values are data: they go in as text or, for addresses, through URL.

import { day, fill, number } from './sentences.mjs';

// draw clones the template and fills its slots. base is what addresses are
// relative to.
export function draw(template, card, base) {
  const root = template.content.firstElementChild.cloneNode(true);
  for (const [key, value] of Object.entries(card.data)) root.setAttribute(`data-${key}`, value);
  const slots = [...root.querySelectorAll('[data-slot]')];
  if (root.hasAttribute('data-slot')) slots.unshift(root);
  for (const element of slots) {
    const put = Object.hasOwn(fillers, element.dataset.slot) ? fillers[element.dataset.slot] : null;
    if (put && !put(element, card, base) && element !== root) element.remove();
  }
  return root;
}

// Each filler tells whether the card had something for the slot.
const fillers = {
  link(element, card, base) {
    const address = within(card.url, base);
    if (address !== null) element.href = address;
    return address !== null;
  },
  image(element, card, base) {
    const small = within(card.src, base);
    if (small === null) return false;
    const large = within(card.src2x, base);
    if (card.width > 0 && card.height > 0) {
      element.width = card.width;
      element.height = card.height;
    }
    element.alt = card.alt;
    // srcset before src, or browsers may fetch both.
    if (large !== null && card.width > 0) element.srcset = `${encoded(small)} ${card.width}w, ${encoded(large)} ${card.width2x || 2 * card.width}w`;
    element.src = small;
    return true;
  },
  title: (element, card) => put(element, card.title),
  caption: (element, card) => put(element, card.caption),
  size(element, card) {
    if (!(card.widthMM > 0 && card.heightMM > 0)) return false;
    return put(element, fill(element.dataset.pattern ?? '{width} × {height} mm', {
      width: number(card.widthMM), height: number(card.heightMM),
    }));
  },
  date(element, card) {
    const made = new Date(`${card.date}T00:00:00Z`);
    if (card.date === '' || Number.isNaN(made.getTime())) return false;
    element.dateTime = card.date;
    return put(element, day(made));
  },
};

function put(element, text) {
  element.textContent = text;
  return text !== '';
}

// within gives the whole address, null if there is none or if it is not on
// the page's own host.
function within(address, base) {
  if (address === '') return null;
  try {
    const url = new URL(address, base);
    return url.origin === location.origin ? url.href : null;
  } catch {
    return null;
  }
}

// A comma ends an address in srcset.
function encoded(address) {
  return address.replaceAll(',', '%2C');
}
