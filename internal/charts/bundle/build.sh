#!/bin/sh
# Builds echarts.js and its licences beside this file from entry.mjs and the packages that
# package-lock.json pins. The same inputs give the same bytes.
# Needs node 18 or later and npm; "go build" needs neither.
set -eu
cd "$(dirname "$0")"
npm ci --ignore-scripts --no-audit --no-fund --loglevel=error
node_modules/.bin/esbuild entry.mjs --bundle --minify --format=iife --target=es5 \
	--legal-comments=none --charset=ascii --log-level=warning \
	--define:process.env.NODE_ENV='"production"' --outfile=echarts.js

m=node_modules
{
	echo 'echarts.js is entry.mjs bundled and minified with parts of these packages.'
	for file in "$m/echarts/NOTICE" "$m/echarts/LICENSE" "$m/echarts/licenses/LICENSE-d3" "$m/zrender/LICENSE" "$m/tslib/LICENSE.txt"; do
		printf '\n==== %s\n\n' "${file#"$m"/}"
		tr -d '\r' <"$file"
	done
} >echarts.js.LICENSES.txt
