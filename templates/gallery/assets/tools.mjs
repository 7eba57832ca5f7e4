// What an opened gallery offers beside its pictures.

import { showKeeping } from './keeping.mjs';
import { offerLetters } from './mail.mjs';
import { offerAll, offerEach } from './save.mjs';
import { Viewer } from './viewer.mjs';

export function start(list, steps, pictures) {
  const viewer = new Viewer(steps, pictures);
  document.getElementById('look').onclick = () => viewer.open(0);
  steps.forEach((step, i) => {
    if (steps[i - 1]?.opener !== step.opener) step.opener.onclick = () => viewer.open(i);
  });
  offerEach(steps, pictures);
  offerAll(list, steps, pictures);
  offerLetters(list);
  showKeeping(list);
  document.documentElement.dataset.ready = '';
}
