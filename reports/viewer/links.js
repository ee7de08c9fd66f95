// Joins every picture, table row and card that speaks of one position: pointing at or focusing one
// marks all; a click keeps the mark; Escape takes it away.
(function () {
  'use strict';
  var groups = new Map();
  document.querySelectorAll('[data-key]').forEach(function (element) {
    var key = element.getAttribute('data-key');
    if (!groups.has(key)) groups.set(key, []);
    groups.get(key).push(element);
  });
  var shown = null, kept = null;

  function mark(key, on) {
    (groups.get(key) || []).forEach(function (element) { element.classList.toggle('on', on); });
  }
  function show(key) {
    if (key === shown) return;
    if (shown !== null) mark(shown, false);
    shown = key;
    if (shown !== null) mark(shown, true);
    document.dispatchEvent(new CustomEvent('position-shown', {detail: key}));
  }
  function keep(key) {
    kept = key;
    show(key);
  }
  function keyOf(target) {
    var element = target.closest && target.closest('[data-key]');
    return element ? element.getAttribute('data-key') : null;
  }
  document.addEventListener('mouseover', function (event) {
    show(keyOf(event.target) || kept);
  });
  document.addEventListener('focusin', function (event) {
    var key = keyOf(event.target);
    if (key !== null) show(key);
  });
  document.addEventListener('click', function (event) {
    var drawn = event.target.closest && event.target.closest('g.linked');
    if (drawn) goTo(drawn.getAttribute('data-key'));
    else if (keyOf(event.target) !== null) keep(keyOf(event.target));
  });
  document.addEventListener('keydown', function (event) {
    if (event.key === 'Escape') { kept = null; show(null); }
  });
  // From a picture to the row of the table of values.
  function goTo(key) {
    keep(key);
    var row = (groups.get(key) || []).find(function (element) { return element.tagName === 'TR'; });
    if (!row) return;
    row.scrollIntoView({block: 'center'});
    var link = row.querySelector('a');
    if (link) link.focus({preventScroll: true});
  }
  window.positions = {show: show, goTo: goTo, kept: function () { return kept; }};
})();
