(() => {
  const shown = (e, top) => {
    for (; e && e !== top.parentElement; e = e.parentElement) {
      const s = getComputedStyle(e);
      if (s.clipPath === 'inset(50%)' || (s.position === 'absolute' && e.getBoundingClientRect().width <= 1)) return false;
    }
    return true;
  };
  const text = top => {
    const walk = document.createTreeWalker(top, NodeFilter.SHOW_TEXT), parts = [];
    while (walk.nextNode()) {
      const e = walk.currentNode.parentElement;
      // A raised mark stands on a line of its own in the text of a PDF.
      if (!e.closest('sup') && e.checkVisibility({contentVisibilityAuto: true}) && shown(e, top)) parts.push(walk.currentNode.data);
    }
    return parts.join('').replace(/\s+/g, ' ').trim();
  };
  return [...document.querySelectorAll('td,th,caption,summary,dt,dd,h1,h2,h3,h4,p,li,figcaption')]
    .filter(e => !e.querySelector('math,svg,p,li,dd,table'))
    .map(text).filter(s => s !== '');
})()
