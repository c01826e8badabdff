package main

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"strings"

	"github.com/gin-gonic/gin"

	"tamis/pkg/order"
	"tamis/pkg/plan"
)

// bareServer is the yardstick of the quotes, a process that serves on base until it is stopped.
type bareServer struct {
	base  string
	stdin io.Closer
	cmd   *exec.Cmd
}

// startBare starts this program as a server that gives every order the answer in a file.
func startBare(ctx context.Context, answer string) (*bareServer, error) {
	self, err := os.Executable()
	if err != nil {
		return nil, err
	}
	cmd := exec.CommandContext(ctx, self, "bare", answer)
	stdin, err := cmd.StdinPipe()
	if err != nil {
		return nil, err
	}
	stdout, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	base, err := bufio.NewReader(stdout).ReadString('\n')
	if err != nil {
		return nil, fmt.Errorf("the bare server does not say its address: %w", err)
	}
	return &bareServer{strings.TrimSpace(base), stdin, cmd}, nil
}

func (s *bareServer) stop() error {
	s.stdin.Close()
	return s.cmd.Wait()
}

// serveBare is the server's side: it says its address and serves until its input ends.
func serveBare(path string, in io.Reader, out io.Writer) error {
	answer, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	handler, err := bare(answer)
	if err != nil {
		return err
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	fmt.Fprintln(out, "http://"+listener.Addr().String())
	go func() {
		_, _ = io.Copy(io.Discard, in) // its end is all that counts
		listener.Close()
	}()
	_ = http.Serve(listener, handler) // ends when the listener is closed
	return nil
}

// bare is a Gin handler that decodes the order and encodes an answer of the same size, and does nothing between.
func bare(answer []byte) (http.Handler, error) {
	var quote plan.Quote
	if err := json.Unmarshal(answer, &quote); err != nil {
		return nil, err
	}
	gin.SetMode(gin.ReleaseMode)
	r := gin.New()
	r.POST("/v1/quotes", func(c *gin.Context) {
		var o order.Order
		if err := c.ShouldBindJSON(&o); err != nil {
			c.Status(http.StatusBadRequest)
			return
		}
		c.JSON(http.StatusOK, quote)
	})
	return r, nil
}
