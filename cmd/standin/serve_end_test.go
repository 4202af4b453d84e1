package main

import (
	"io"
	"net"
	"strings"
	"testing"
	"time"
)

// Who is still sending a body does not hold the end: with ten seconds given to
// answers under way it would be ended by force.
func TestSlowBodyDoesNotHoldTheEnd(t *testing.T) {
	t.Parallel()
	s := startServing(t, "serve", "--database-url", loaded(t))
	conn, err := net.Dial("tcp", strings.TrimPrefix(s.url, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	if _, err := io.WriteString(conn, "POST /v1/fits HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 500\r\nExpect: 100-continue\r\n\r\n"); err != nil {
		t.Fatal(err)
	}
	if err := conn.SetReadDeadline(time.Now().Add(time.Minute)); err != nil {
		t.Fatal(err)
	}
	// RFC 9110, 10.1.1: the server says 100 when it begins to read the body.
	if _, err := io.ReadFull(conn, make([]byte, len("HTTP/1.1 100 Continue\r\n\r\n"))); err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	status := s.stop()
	if took := time.Since(began); status != statusAnswered || took > shutdownTime/2 || !strings.HasSuffix(s.stderr.String(), "standin stopped\n") {
		t.Errorf("it ended after %v with status %d: %s", took, status, s.stderr)
	}
}
