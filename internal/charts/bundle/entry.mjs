// The parts of the chart library that this project draws with, and the one
// function that Go calls. See build.sh for how echarts.js is made of it.
import * as echarts from 'echarts/core';
import {BarChart, HeatmapChart, LineChart, ScatterChart} from 'echarts/charts';
import {
  GraphicComponent,
  GridComponent,
  LegendPlainComponent,
  MarkLineComponent,
  VisualMapPiecewiseComponent,
} from 'echarts/components';
import {SVGRenderer} from 'echarts/renderers';
import {setPlatformAPI} from 'zrender/lib/core/platform.js';

echarts.use([
  BarChart, HeatmapChart, LineChart, ScatterChart,
  GraphicComponent, GridComponent, LegendPlainComponent, MarkLineComponent,
  VisualMapPiecewiseComponent, SVGRenderer,
]);

// The widths come from real font metrics: without a canvas the library guesses
// them from an ASCII table, in which umlauts and Cyrillic are too wide.
setPlatformAPI({
  measureText: function (text, font) {
    return {width: measureTextWidth(String(text), String(font))};
  },
});

// literal turns the texts that Go has formatted into formatter functions, the
// only form in which the library prints a text without reading templates in it.
//   {literal: "18.0 %"}                          a label with that text
//   {literals: [...], from: 0, step: 20}         tick labels of a value axis
function literal(node) {
  if (!node || typeof node !== 'object') {
    return;
  }
  if (typeof node.literal === 'string') {
    var text = node.literal;
    node.formatter = function () { return text; };
  }
  if (Array.isArray(node.literals)) {
    var texts = node.literals, from = node.from, step = node.step;
    node.formatter = function (value) {
      var at = Math.round((value - from) / step);
      if (!(at >= 0 && at < texts.length)) {
        throw new Error('no label for tick ' + value);
      }
      return texts[at];
    };
  }
  for (var key in node) {
    literal(node[key]);
  }
}

globalThis.renderChart = function (json, width, height, id) {
  var chart = echarts.init(null, null, {renderer: 'svg', ssr: true, width: width, height: height});
  try {
    var option = JSON.parse(json);
    option.animation = false;
    option.useUTC = true;
    literal(option);
    [].concat(option.series || []).forEach(function (series) {
      series.silent = true;
      series.emphasis = {disabled: true};
    });
    var painter = chart.getZr().painter;
    painter._id = id;
    chart.setOption(option);
    return painter.renderToString({useViewBox: true, cssAnimation: false, cssEmphasis: false});
  } finally {
    chart.dispose();
  }
};
