(() => {
  const root = document.documentElement, width = root.clientWidth, found = [];
  const name = e => e.tagName.toLowerCase() + (e.classList.length ? '.' + [...e.classList].join('.') : '') +
    ' "' + e.textContent.trim().replace(/\s+/g, ' ').slice(0, 40) + '"';
  const paper = matchMedia('print').matches; // where nothing scrolls
  const scrolls = new Map(), hidden = new Map();
  // Remembered for each element, since both depend on all ancestors.
  const inScroller = e => {
    if (paper || !e || e === document.body || e === root) return false;
    if (!scrolls.has(e)) {
      const p = e.parentElement, x = p && p !== document.body && p !== root ? getComputedStyle(p).overflowX : '';
      scrolls.set(e, x === 'auto' || x === 'scroll' || inScroller(p));
    }
    return scrolls.get(e);
  };
  // Text for screen readers is cut to nothing; a skip link waits wholly beside the page.
  const aside = e => {
    if (!e || e === root) return false;
    if (!hidden.has(e)) {
      const s = getComputedStyle(e), r = e.getBoundingClientRect();
      const out = s.position === 'absolute' || s.position === 'fixed';
      hidden.set(e, out && (r.right <= 0 || r.bottom <= 0 || (r.width <= 1 && r.height <= 1) || s.clipPath === 'inset(50%)') || aside(e.parentElement));
    }
    return hidden.get(e);
  };
  if (root.scrollWidth > width) found.push('the page is ' + root.scrollWidth + ' px wide in a view of ' + width + ' px');
  for (const e of document.querySelectorAll('body *')) {
    if (e.parentElement.closest('svg,math')) continue;
    if (!e.getClientRects().length || !e.checkVisibility() || aside(e)) continue;
    const r = e.getBoundingClientRect(), s = getComputedStyle(e);
    if (!inScroller(e) && (r.right > width + 1 || r.left < -1))
      found.push(name(e) + ' reaches from ' + Math.round(r.left) + ' to ' + Math.round(r.right) + ' px');
    const scroller = /^(auto|scroll)$/.test(s.overflowX), cuts = /^(hidden|clip)$/.test(s.overflowX) || (paper && scroller);
    const text = [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim());
    if (s.display !== 'inline' && e.scrollWidth > e.clientWidth + 1 && e.clientWidth && (cuts || (text && !scroller)))
      found.push(name(e) + ' holds ' + e.scrollWidth + ' px of content in a box of ' + e.clientWidth + ' px');
  }
  return [...new Set(found)].slice(0, 20);
})()
