package main

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"encoding/pem"
	"io"
	"math/big"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// What cannot be served with is said before a database is looked for.
func TestServeFlags(t *testing.T) {
	t.Parallel()
	taken := takenPort(t)
	for _, c := range []struct {
		args   string
		status int
		says   string
	}{
		{"--debug-listen 0.0.0.0:8479", statusUsage, "not a loopback address"},
		{"--debug-listen localhost:8479", statusUsage, "not a loopback address"},
		{"--debug-listen 127.0.0.1", statusUsage, "not a loopback address"},
		{"--metrics-listen here", statusUsage, `"here" is not an address to listen on`},
		{"--metrics-listen " + taken, statusFailed, "choose another with --metrics-listen"},
		{"--trust-proxy 10.0.0.0/33", statusUsage, "write it as 10.0.0.0/8 or 192.0.2.7"},
		{"--trust-proxy proxy", statusUsage, "write it as 10.0.0.0/8 or 192.0.2.7"},
		{"--allow-origin shop.example", statusUsage, "https://shop.example"},
		{"--rate-limit -1", statusUsage, "-1 is not from 0"},
		{"--log-format xml", statusUsage, `"xml" is not text or json`},
		{"--log-level loud", statusUsage, `"loud" is not debug or info or warn or error`},
		{"--tls-cert only.pem", statusUsage, "--tls-cert and --tls-key go together"},
		{"--tls-cert no.pem --tls-key no.pem", statusFailed, "no.pem cannot be read"},
		{"--public-url https://shop.example/a%22b", statusUsage, "has to be of letters"},
	} {
		t.Run(c.args, func(t *testing.T) {
			t.Parallel()
			got := run(t, append([]string{"serve", "--listen", "127.0.0.1:0", "--database-url", "postgres://nobody@127.0.0.1:1/none"}, strings.Fields(c.args)...)...)
			if got.status != c.status || !strings.Contains(got.stderr, c.says) {
				t.Errorf("status %d, want %d; stderr %q, want %q", got.status, c.status, got.stderr, c.says)
			}
			checkSentence(t, got)
		})
	}
}

// Figures and profiles are at addresses of their own, and every line of the log is
// JSON, with the trace that a request came with.
func TestServeBesides(t *testing.T) {
	t.Parallel()
	s := startServing(t, "serve", "--database-url", loaded(t), "--metrics-listen", "127.0.0.1:0", "--debug-listen", "127.0.0.1:0",
		"--log-format", "json", "--log-level", "info", "--rate-limit", "1000")
	at := func(path string) string {
		m := regexp.MustCompile(regexp.QuoteMeta(path) + ` is at (http://127\.0\.0\.1:\d+` + regexp.QuoteMeta(path) + `)`).FindStringSubmatch(s.stderr.String())
		if m == nil {
			t.Fatalf("nothing says where %s is: %s", path, s.stderr)
		}
		return m[1]
	}
	const trace = "4bf92f3577b34da6a3ce929d0e0e4736"
	request, err := http.NewRequest(http.MethodGet, s.url+"/v1/fits?brand=Corvane&model=DW+640", nil)
	if err != nil {
		t.Fatal(err)
	}
	request.Header.Set("Traceparent", "00-"+trace+"-00f067aa0ba902b7-01")
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		t.Fatal(err)
	}
	response.Body.Close()
	if response.StatusCode != http.StatusOK || response.Header.Get("RateLimit") == "" {
		t.Errorf("status %d, RateLimit %q", response.StatusCode, response.Header.Get("RateLimit"))
	}
	if got := body(t, at("/metrics")); !strings.Contains(got, "standin_questions_total{") || !strings.Contains(got, `standin_pool_connections{state="idle"}`) {
		t.Errorf("the metrics are %s", got)
	}
	if status := s.statusOf(t, "/metrics"); status != http.StatusNotFound {
		t.Errorf("/metrics at the main address: status %d", status)
	}
	if got := body(t, at("/debug/pprof/")+"goroutine?debug=1"); !strings.Contains(got, "goroutine profile") {
		t.Errorf("the profile is %.200s", got)
	}
	s.stop()
	lines := strings.Split(strings.TrimSpace(s.stderr.String()), "\n")
	traced := 0
	for _, line := range lines {
		var record struct {
			Level, Msg string
			TraceID    string `json:"trace_id"`
		}
		if err := json.Unmarshal([]byte(line), &record); err != nil || record.Msg == "" || record.Level == "" {
			t.Errorf("a line of the log is %q: %v", line, err)
		}
		if record.TraceID == trace {
			traced++
		}
	}
	if traced != 1 {
		t.Errorf("%d lines have the trace: %s", traced, s.stderr)
	}
}

func body(t *testing.T, address string) string {
	t.Helper()
	response, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer response.Body.Close()
	text, err := io.ReadAll(response.Body)
	if err != nil || response.StatusCode != http.StatusOK {
		t.Fatalf("%s: status %d, %v: %s", address, response.StatusCode, err, text)
	}
	return string(text)
}

// A certificate is taken from its files and, once they have changed, from those;
// half a change leaves the one before in place.
func TestCertificateIsRenewed(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	certFile, keyFile := filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")
	writeCertificate(t, certFile, keyFile, 1)
	s := startServing(t, "serve", "--database-url", loaded(t), "--tls-cert", certFile, "--tls-key", keyFile)
	if !strings.HasPrefix(s.url, "https://") {
		t.Errorf("it answers at %s", s.url)
	}
	if got := serialOf(t, s.url); got != 1 {
		t.Errorf("serial %d, want 1", got)
	}
	old, err := tls.Dial("tcp", strings.TrimPrefix(s.url, "https://"), &tls.Config{InsecureSkipVerify: true, MaxVersion: tls.VersionTLS11})
	if err == nil {
		old.Close()
		t.Error("it speaks TLS 1.1")
	}
	time.Sleep(lookEvery + 100*time.Millisecond)
	if err := os.WriteFile(keyFile, []byte("half"), 0o600); err != nil {
		t.Fatal(err)
	}
	if got := serialOf(t, s.url); got != 1 {
		t.Errorf("serial %d with a key that is none, want 1", got)
	}
	if !strings.Contains(s.stderr.String(), "the certificate is not renewed") {
		t.Errorf("the log does not say that it is not renewed: %s", s.stderr)
	}
	writeCertificate(t, certFile, keyFile, 2)
	time.Sleep(lookEvery + 100*time.Millisecond)
	if got := serialOf(t, s.url); got != 2 {
		t.Errorf("serial %d, want 2", got)
	}
}

func serialOf(t *testing.T, url string) int64 {
	t.Helper()
	conn, err := tls.Dial("tcp", strings.TrimPrefix(url, "https://"), &tls.Config{InsecureSkipVerify: true})
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	return conn.ConnectionState().PeerCertificates[0].SerialNumber.Int64()
}

func writeCertificate(t *testing.T, certFile, keyFile string, serial int64) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	template := &x509.Certificate{SerialNumber: big.NewInt(serial), NotAfter: time.Now().Add(time.Hour), IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}}
	der, err := x509.CreateCertificate(rand.Reader, template, template, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	keyDER, err := x509.MarshalECPrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	for name, block := range map[string]*pem.Block{certFile: {Type: "CERTIFICATE", Bytes: der}, keyFile: {Type: "EC PRIVATE KEY", Bytes: keyDER}} {
		if err := os.WriteFile(name, pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// systemd knows every setting of the unit, and rates how far it is shut in: under
// 2 of 10 is what it calls OK.
func TestUnit(t *testing.T) {
	t.Parallel()
	analyze, err := exec.LookPath("systemd-analyze")
	if err != nil {
		t.Skip("systemd-analyze is not installed")
	}
	text, err := os.ReadFile("../../deploy/standin.service")
	if err != nil {
		t.Fatal(err)
	}
	unit := filepath.Join(t.TempDir(), "standin.service")
	here := strings.Replace(string(text), "/usr/local/bin/standin serve", "/bin/true serve", 1)
	if err := os.WriteFile(unit, []byte(here), 0o600); err != nil {
		t.Fatal(err)
	}
	if said, err := exec.Command(analyze, "verify", unit).CombinedOutput(); err != nil || strings.Contains(string(said), "standin.service:") {
		t.Errorf("systemd does not take the unit: %v: %s", err, said)
	}
	said, err := exec.Command(analyze, "security", "--offline=true", "--no-pager", unit).CombinedOutput()
	rated := regexp.MustCompile(`Overall exposure level for \S+: ([0-9.]+)`).FindSubmatch(said)
	if rated == nil {
		t.Fatalf("no rating: %v: %s", err, said)
	}
	if level, _ := strconv.ParseFloat(string(rated[1]), 64); level >= 2 {
		t.Errorf("rated %.1f:\n%s", level, said)
	}
	for line := range strings.Lines(string(text)) {
		if args, ok := strings.CutPrefix(strings.TrimSpace(line), "ExecStart=/usr/local/bin/standin "); ok {
			if got := run(t, append(strings.Fields(args), "--listen", "here")...); !strings.Contains(got.stderr, "is not an address to listen on") || !strings.Contains(got.stderr, `"level":"ERROR"`) {
				t.Errorf("the program does not take %q: %s", args, got.stderr)
			}
		}
	}
}
