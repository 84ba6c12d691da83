(async () => {
  const r = await axe.run(document, {
    elementRef: true,
    runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22a', 'wcag22aa', 'best-practice'],
  });
  // Cut off by a box made to scroll, so that it shows only after scrolling.
  const scrolledOut = e => {
    const t = e.getBoundingClientRect();
    for (let a = e.parentElement; a && a !== document.body; a = a.parentElement) {
      if (!/^(auto|scroll)$/.test(getComputedStyle(a).overflowX)) continue;
      const b = a.getBoundingClientRect();
      if (t.right > b.right + 1 || t.left < b.left - 1) return true;
    }
    return false;
  };
  const nodes = list => list.flatMap(v => v.nodes.map(n => ({
    rule: v.id,
    impact: v.impact || '',
    target: n.target.join(' '),
    html: n.html.slice(0, 160),
    summary: (n.failureSummary || v.help).replace(/\s+/g, ' '),
    reason: (n.any.find(c => c.data && c.data.messageKey) || {data: {}}).data.messageKey || '',
    inDrawing: !!(n.element && n.element.closest('svg')),
    scrolledOut: !!(n.element && scrolledOut(n.element)),
  })));
  return {passed: r.passes.map(p => p.id), violations: nodes(r.violations), incomplete: nodes(r.incomplete)};
})()
