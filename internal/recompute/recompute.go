// Package recompute holds the test that works committed reference values out
// again: it runs the numpy scripts of testdata and compares their output with the
// files beside them, so that neither a script nor its output can change alone. It
// needs Python 3 with numpy (python3-numpy in Debian). Without them the test is
// left out with a sentence, or fails where AUDITGEN_PYTHON is set to required, as
// in .ci/run.
package recompute
