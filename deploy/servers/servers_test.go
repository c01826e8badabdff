package servers

import (
	"net"
	"testing"
	"time"
)

func TestRedisAnswersPing(t *testing.T) {
	conn, err := net.Dial("tcp", Redis(t).Addr)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	_ = conn.SetDeadline(time.Now().Add(patience))
	if _, err := conn.Write([]byte("PING\r\n")); err != nil {
		t.Fatal(err)
	}
	answer := make([]byte, 7)
	if n, err := conn.Read(answer); err != nil || string(answer[:n]) != "+PONG\r\n" {
		t.Fatalf("PING was answered %q, %v", answer[:n], err)
	}
}

func TestS3ServerAcceptsConnections(t *testing.T) {
	s := S3(t)
	s.Kill()
	if conn, err := net.DialTimeout("tcp", s.Endpoint, time.Second); err == nil {
		conn.Close()
		t.Fatal("it still answers after Kill")
	}
}
