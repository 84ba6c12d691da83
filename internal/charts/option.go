package charts

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	gocharts "github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
)

// option returns the drawing as an ECharts option in JSON with sorted keys.
// go-echarts builds what it knows; what it has no field for is added to its
// map: decals, several legends, free text, fixed tick steps.
func (d *drawing) option() ([]byte, error) {
	base := gocharts.NewBar()
	base.SetGlobalOptions(
		gocharts.WithAnimation(false),
		gocharts.WithXAxisOpts(opts.XAxis{Type: d.x.kind(), Inverse: show(d.x.inverse)}),
		gocharts.WithYAxisOpts(opts.YAxis{Type: d.y.kind(), Inverse: show(d.y.inverse)}),
		gocharts.WithGridOpts(opts.Grid{
			Left: pixels(d.plot.left), Top: pixels(d.plot.top),
			Right:  pixels(float64(d.size.Width) - d.plot.right),
			Bottom: pixels(float64(d.size.Height) - d.plot.bottom),
		}),
	)
	if d.classes > 0 {
		base.SetGlobalOptions(gocharts.WithVisualMapOpts(opts.VisualMap{Type: "piecewise", Show: show(false)}))
	}
	for _, s := range d.series {
		one, err := s.typed()
		if err != nil {
			return nil, err
		}
		base.MultiSeries = append(base.MultiSeries, one)
	}
	base.Validate()
	option, err := plain(base.JSON())
	if err != nil {
		return nil, err
	}
	if err := d.patch(option); err != nil {
		return nil, err
	}
	// Once more to maps: the texts among what was added count too.
	if option, err = plain(option); err != nil {
		return nil, err
	}
	if err := refuseFunctions("option", option); err != nil {
		return nil, err
	}
	return json.Marshal(option)
}

func pixels(v float64) string { return strconv.FormatFloat(round1(v), 'f', -1, 64) }

func (a axis) kind() string {
	if a.names != nil {
		return "category"
	}
	return "value"
}

// typed returns the series as go-echarts has it.
func (s series) typed() (gocharts.SingleSeries, error) {
	one := gocharts.SingleSeries{
		Name: s.name, Type: string(s.kind), Stack: s.stack, Data: s.data,
		Symbol: s.symbol, SymbolSize: s.symbolSize, BarGap: s.barGap,
	}
	switch s.kind {
	case barKind:
		one.BarWidth = pixels(s.barWidth)
	case lineKind:
		one.ShowSymbol = show(s.symbol != "")
		if s.step != "" {
			one.Step = s.step
		}
	case scatterKind, heatKind:
	default:
		return one, fmt.Errorf("series type %q is not built into the drawing library", s.kind)
	}
	return one, nil
}

// plain turns go-echarts' nested types into maps and lists.
func plain(v any) (map[string]any, error) {
	raw, err := json.Marshal(v)
	if err != nil {
		return nil, fmt.Errorf("chart option: %w", err)
	}
	option := map[string]any{}
	if err := json.Unmarshal(raw, &option); err != nil {
		return nil, fmt.Errorf("chart option: %w", err)
	}
	return option, nil
}

func (d *drawing) patch(option map[string]any) error {
	for _, unused := range []string{"title", "tooltip", "toolbox", "legend", "color"} {
		delete(option, unused)
	}
	option["useUTC"] = true
	option["textStyle"] = map[string]any{"fontFamily": "inherit", "fontSize": fontSize, "color": ink}
	if len(d.key) > 0 {
		var keys []any
		for _, l := range d.key {
			keys = append(keys, l.option())
		}
		option["legend"] = keys
	}
	if len(d.graphic) > 0 {
		option["graphic"] = d.graphic
	}
	if d.classes > 0 {
		option["visualMap"] = d.ramp()
	}
	if err := each(option, "grid", func(_ int, g map[string]any) {
		g["outerBoundsMode"] = "none"
		g["containLabel"] = false
	}); err != nil {
		return err
	}
	if err := each(option, "xAxis", func(_ int, a map[string]any) { d.x.patch(a) }); err != nil {
		return err
	}
	if err := each(option, "yAxis", func(_ int, a map[string]any) { d.y.patch(a) }); err != nil {
		return err
	}
	return each(option, "series", func(i int, s map[string]any) { d.series[i].patch(s, d.x.names == nil) })
}

// each calls patch on the maps that an option holds under a key.
func each(option map[string]any, key string, patch func(int, map[string]any)) error {
	list, ok := option[key].([]any)
	if !ok {
		return fmt.Errorf("chart option: go-echarts wrote no list %q", key)
	}
	for i, v := range list {
		m, ok := v.(map[string]any)
		if !ok {
			return fmt.Errorf("chart option: %s[%d] is not an object", key, i)
		}
		patch(i, m)
	}
	return nil
}

func (a axis) patch(m map[string]any) {
	hairline := func(colour string) map[string]any {
		return map[string]any{"color": colour, "width": 1, "cap": "butt"}
	}
	m["axisLine"] = map[string]any{"show": a.line, "onZero": true, "lineStyle": hairline(rule2)}
	m["axisTick"] = map[string]any{"show": a.ticks, "length": 4, "alignWithLabel": true, "lineStyle": hairline(rule2)}
	m["splitLine"] = map[string]any{"show": a.grid, "lineStyle": hairline(rule)}
	text := map[string]any{
		"show": !a.bare, "color": ink2, "fontSize": fontSize, "fontFamily": "inherit", "margin": textGap,
		"hideOverlap": false,
	}
	m["axisLabel"] = text
	if a.names != nil {
		// All the labels are given, and those to leave out are empty: the
		// library is not to choose among them.
		text["interval"] = 0
		text["lineHeight"] = lineHeight
		m["axisTick"].(map[string]any)["interval"] = 0
		m["boundaryGap"] = !a.edges
		places, names := make([]string, len(a.names)), make([]string, len(a.names))
		for i, name := range a.names {
			places[i], names[i] = strconv.Itoa(i), cleanText(name)
		}
		m["data"] = places
		text["literals"], text["from"], text["step"] = names, 0, 1
		return
	}
	m["min"], m["max"], m["interval"] = a.scale.min, a.scale.max, a.scale.step
	if !a.bare {
		text["literals"], text["from"], text["step"] = a.scale.labels, a.scale.min, a.scale.step
	}
}

// patch adds to a series what go-echarts has no field for. In a lying plot the
// value axis runs from left to right.
func (s series) patch(m map[string]any, lying bool) {
	m["itemStyle"] = s.look
	m["clip"] = false
	m["z"] = s.z
	if s.line != nil {
		m["lineStyle"] = s.line
		m["symbol"] = "none"
		if s.symbol != "" {
			m["symbol"] = s.symbol
			m["showAllSymbol"] = true
		}
	}
	if s.area != nil {
		m["areaStyle"] = s.area
	}
	if len(s.rules) > 0 {
		axis := "yAxis"
		if lying {
			axis = "xAxis"
		}
		var list []any
		for _, r := range s.rules {
			list = append(list, map[string]any{axis: r.value, "lineStyle": r.line})
		}
		m["markLine"] = map[string]any{"silent": true, "symbol": "none", "precision": 12,
			"label": map[string]any{"show": false}, "data": list, "z": s.z}
	}
}

// option returns a legend of one entry whose text is written apart, so that
// the key's layout is this package's own.
func (l legend) option() map[string]any {
	return map[string]any{
		"show": true, "data": []any{map[string]any{"name": l.series, "icon": l.icon}},
		"left": round1(l.left), "top": round1(l.top), "padding": 0,
		"itemWidth": l.width, "itemHeight": l.height, "selectedMode": false,
		"itemStyle": map[string]any{"borderWidth": 0},
		"literal":   "", "z": 15,
	}
}

func (d *drawing) ramp() map[string]any {
	var pieces []any
	for i := range d.classes {
		pieces = append(pieces, map[string]any{"value": i, "color": rampColour(i)})
	}
	return map[string]any{"type": "piecewise", "show": false, "dimension": 2, "seriesIndex": 0, "pieces": pieces}
}

// refuseFunctions reports a function option of go-echarts. It would arrive as
// a string and do nothing.
func refuseFunctions(at string, v any) error {
	switch v := v.(type) {
	case string:
		if strings.Contains(v, "__f__") {
			return fmt.Errorf("%s is a function, which a still chart cannot run: use a text", at)
		}
	case []any:
		for i, item := range v {
			if err := refuseFunctions(fmt.Sprintf("%s[%d]", at, i), item); err != nil {
				return err
			}
		}
	case map[string]any:
		for _, key := range sortedKeys(v) {
			if err := refuseFunctions(at+"."+key, v[key]); err != nil {
				return err
			}
		}
	}
	return nil
}

func sortedKeys(m map[string]any) []string {
	return slices.Sorted(maps.Keys(m))
}
