package main

import (
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"auditgen/internal/browser"
)

// TestHostingInBrowser runs nginx with the block that docs/hosting.md prints, on
// a loopback port and with the example's report below a sub-path, and looks at
// what arrives: status, headers, types, compression, pages that open without a
// complaint under both policies, and full marks of Lighthouse.
func TestHostingInBrowser(t *testing.T) {
	b := browser.Start(t)
	home := serveByNginx(t)
	for name, kind := range map[string]string{
		"/clients/quern/":                                "text/html; charset=utf-8",
		"/clients/quern/2031-05-14/":                     "text/html; charset=utf-8",
		"/clients/quern/2031-05-14/check.html":           "text/html; charset=utf-8",
		"/clients/quern/2031-05-14/data/assessment.json": "application/json; charset=utf-8",
		"/clients/quern/2031-05-14/data/bill.xlsx":       "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
		"/clients/quern/nothing":                         "",
		"/clients/quern/.secret":                         "",
	} {
		response := get(t, home+name)
		want := http.StatusOK
		switch name {
		case "/clients/quern/nothing":
			want = http.StatusNotFound
		case "/clients/quern/.secret":
			want = http.StatusForbidden
		}
		if response.StatusCode != want {
			t.Errorf("%s: status %d, not %d", name, response.StatusCode, want)
		}
		if got := response.Header.Get("Content-Type"); kind != "" && got != kind {
			t.Errorf("%s: type %q, not %q", name, got, kind)
		}
		for header, part := range map[string]string{"Content-Security-Policy": "frame-ancestors 'none'", "X-Robots-Tag": "noindex", "X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer", "Cache-Control": "no-cache"} {
			if got := response.Header.Get(header); !strings.Contains(got, part) {
				t.Errorf("%s: %s is %q", name, header, got)
			}
		}
		if got := response.Header.Get("Content-Encoding"); kind != "" && got != "gzip" && !strings.Contains(kind, "spreadsheet") {
			t.Errorf("%s: not compressed, but %q", name, got)
		}
	}
	c := checker{T: t, browser: b}
	for _, name := range []string{"index.html", "2031-05-14/index.html", "2031-05-14/check.html"} {
		c.quiet(home + "/clients/quern/" + name)
		scores, err := browser.Need(t).Lighthouse(home + "/clients/quern/" + name)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: performance %d", name, scores.Performance)
		if scores.Accessibility != 100 || scores.BestPractices != 100 {
			t.Errorf("%s: accessibility %d, best practices %d, both should be 100: %q", name, scores.Accessibility, scores.BestPractices, scores.Short)
		}
	}
}

// get asks for an address as a browser does, and leaves the answer compressed.
func get(t *testing.T, address string) *http.Response {
	t.Helper()
	request, err := http.NewRequest(http.MethodGet, address, nil)
	if err != nil {
		t.Fatal(err)
	}
	request.Header.Set("Accept-Encoding", "gzip")
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		t.Fatal(err)
	}
	defer response.Body.Close()
	if _, err := io.Copy(io.Discard, response.Body); err != nil {
		t.Fatal(err)
	}
	return response
}

// serveByNginx runs nginx until the test ends and gives the address of its root.
func serveByNginx(t *testing.T) string {
	t.Helper()
	nginx, err := exec.LookPath("nginx")
	if err != nil {
		nginx, err = exec.LookPath("/usr/sbin/nginx")
	}
	if err != nil {
		if os.Getenv(browser.EnvRequired) == "required" {
			t.Fatal("the sample for nginx must be tried, and nginx is not installed (Debian: apt-get install nginx-light)")
		}
		t.Skip("the sample for nginx is not tried, as nginx is not installed (Debian: apt-get install nginx-light)")
	}
	doc, err := os.ReadFile(filepath.Join("..", "..", "docs", "hosting.md"))
	if err != nil {
		t.Fatal(err)
	}
	sample := regexp.MustCompile("(?s)```nginx\n(.*?)```").FindSubmatch(doc)
	if sample == nil {
		t.Fatal("docs/hosting.md has no block for nginx")
	}
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	place := free.Addr().String()
	free.Close()

	dir := t.TempDir()
	root := filepath.Join(dir, "srv")
	if err := os.CopyFS(filepath.Join(root, "clients", "quern"), os.DirFS(buildExample(t))); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(root, "clients", "quern", ".secret"), []byte("x"), 0o644); err != nil {
		t.Fatal(err)
	}
	server := string(sample[1])
	for from, to := range map[string]string{"listen 8080;": "listen " + place + ";", "/srv/reports": root} {
		if strings.Count(server, from) != 1 {
			t.Fatalf("the block for nginx does not hold %q once", from)
		}
		server = strings.Replace(server, from, to, 1)
	}
	// As root, nginx would drop to a user who can't read a test's folder.
	config := fmt.Sprintf("daemon off;\nmaster_process off;\npid %[1]s/pid;\nerror_log %[1]s/error.log;\nevents {}\nhttp {\ninclude /etc/nginx/mime.types;\naccess_log off;\nclient_body_temp_path %[1]s/a;\nproxy_temp_path %[1]s/b;\nfastcgi_temp_path %[1]s/c;\nuwsgi_temp_path %[1]s/d;\nscgi_temp_path %[1]s/e;\n%[2]s}\n", dir, server)
	file := filepath.Join(dir, "nginx.conf")
	if err := os.WriteFile(file, []byte(config), 0o644); err != nil {
		t.Fatal(err)
	}
	command := exec.Command(nginx, "-c", file, "-e", filepath.Join(dir, "error.log"))
	var said strings.Builder
	command.Stdout, command.Stderr = &said, &said
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = command.Process.Kill()
		_ = command.Wait()
	})
	for range 100 {
		if conn, err := net.Dial("tcp", place); err == nil {
			conn.Close()
			return "http://" + place
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Fatalf("nginx does not answer: %s", said.String())
	return ""
}
