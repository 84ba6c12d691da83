package charts

import (
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"fmt"
	"sync"
	"time"

	"github.com/dop251/goja"
)

// bundleSource is Apache ECharts with one function, renderChart, on top.
//
//go:embed bundle/echarts.js
var bundleSource string

// drawingTime is how long one chart may take; a warm drawing takes under 0.2 s.
const drawingTime = 10 * time.Second

// bundle compiles the library once per process, and only when a chart needs
// drawing: it takes about 0.1 s.
var bundle = sync.OnceValues(func() (*goja.Program, error) {
	return goja.Compile("echarts.js", bundleSource, true)
})

// bundleHash tells one build of the library from another in cache keys.
var bundleHash = sync.OnceValue(func() string {
	sum := sha256.Sum256([]byte(bundleSource))
	return hex.EncodeToString(sum[:])
})

// engine is one JavaScript machine with the library loaded. It serves one
// drawing at a time.
type engine struct {
	vm     *goja.Runtime
	render goja.Callable
	// spent says that the machine was interrupted, or was about to be: it is
	// not to draw again.
	spent bool
}

func newEngine() (*engine, error) {
	program, err := bundle()
	if err != nil {
		return nil, fmt.Errorf("compile the chart library: %w", err)
	}
	vm := goja.New()
	nothing := func(goja.FunctionCall) goja.Value { return goja.Undefined() }
	globals := map[string]any{
		// Timers only run animations, which a still picture has none of.
		"setTimeout":       nothing,
		"clearTimeout":     nothing,
		"measureTextWidth": measureFont,
	}
	for name, value := range globals {
		if err := vm.Set(name, value); err != nil {
			return nil, fmt.Errorf("prepare the chart library: %w", err)
		}
	}
	if _, err := vm.RunProgram(program); err != nil {
		return nil, fmt.Errorf("load the chart library: %w", err)
	}
	render, ok := goja.AssertFunction(vm.Get("renderChart"))
	if !ok {
		return nil, fmt.Errorf("load the chart library: it has no function renderChart")
	}
	return &engine{vm: vm, render: render}, nil
}

// draw returns the library's own SVG for an option. A machine that failed or
// is spent is not to be used again.
func (e *engine) draw(option []byte, size Size, id string, limit time.Duration) (svg string, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("the chart library failed: %v", fault)
		}
	}()
	timer := time.AfterFunc(limit, func() {
		e.vm.Interrupt(fmt.Sprintf("drawing took longer than %v", limit))
	})
	defer func() { e.spent = e.spent || !timer.Stop() }()
	result, err := e.render(goja.Undefined(), e.vm.ToValue(string(option)),
		e.vm.ToValue(size.Width), e.vm.ToValue(size.Height), e.vm.ToValue(id))
	if err != nil {
		return "", fmt.Errorf("the chart library failed: %w", err)
	}
	return result.String(), nil
}
