// The one script that is no module: modules do not run from a file: address,
// nor in browsers too old for this page, and someone has to say so.
(function () {
  var words = JSON.parse(document.getElementById('words').textContent);
  var kind = '';
  if (location.protocol === 'file:') kind = 'file_address';
  else if (!window.isSecureContext) kind = 'insecure';
  else if (!('noModule' in HTMLScriptElement.prototype && window.crypto && crypto.subtle && window.HTMLDialogElement)) kind = 'old_browser';
  if (!kind) return;
  document.documentElement.setAttribute('data-shut', kind); // gallery.mjs goes no further
  document.getElementById('door-status').hidden = true;
  document.getElementById('door-progress').hidden = true;
  document.getElementById('door-again').hidden = true;
  document.getElementById('door-trouble-text').textContent = words['trouble_' + kind];
  document.getElementById('door-trouble-help').textContent = words['help_' + kind];
  document.getElementById('door-trouble').hidden = false;
})();
