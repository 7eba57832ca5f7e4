// Counts beside the filters: in [data-count] of a checkbox's label, and in an
// option's own text.

import { counted, fill } from './sentences.mjs';

// show writes the counts, a Map from facet name to Map from value to number.
export function show(form, counts) {
  for (const control of form.elements) {
    const facet = counts.get(control.name);
    if (!facet) continue;
    if (control.type === 'checkbox' || control.type === 'radio') {
      if (control.value !== '') besides(form, control, facet.get(control.value) ?? 0);
    } else if (control.options) {
      for (const o of control.options) if (o.value !== '') inside(form, o, facet.get(o.value) ?? 0);
    }
  }
}

function besides(form, control, n) {
  for (const label of control.labels ?? []) {
    label.toggleAttribute('data-empty', n === 0);
    for (const place of label.querySelectorAll('[data-count]')) set(place, counted(form.dataset, 'count', n, '{n}'));
  }
}

function inside(form, option, n) {
  option.dataset.label ??= option.text;
  option.toggleAttribute('data-empty', n === 0);
  const count = counted({}, '', n, '{n}');
  set(option, fill(form.dataset.option ?? '{label} ({n})', { label: option.dataset.label, n: count }));
}

function set(element, text) {
  if (element.textContent !== text) element.textContent = text;
}
