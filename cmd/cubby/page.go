//go:build !js

package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"cubby/internal/page"
)

func pageCommand() command {
	return command{
		name: "page", args: "[JOB]", short: "the same job as a page in the browser, on this machine only",
		long: "Serves the job as a page: measure, choose, look and save without writing YAML. It reads and writes the same file as\n" +
			"the other commands. The first line is the address, which holds the key to the page; nobody else on the machine or the\n" +
			"network gets in, and nothing leaves the machine. Ctrl-C ends it.\n\n  cubby page van.yaml",
		flags: func(fs *pflag.FlagSet) action {
			quiet := fs.Bool("no-open", false, "print the address and do not open a browser")
			port := fs.Int("port", 0, "`N`: port to serve on (default: a free one)")
			return func(ctx context.Context, t terminal, args []string) error {
				return runPage(ctx, t, args, *quiet, *port)
			}
		},
	}
}

func runPage(ctx context.Context, t terminal, args []string, quiet bool, port int) error {
	dir, job := ".", ""
	switch {
	case len(args) > 1:
		return usage("give one job file, or none to choose one in the page")
	case port < 0 || port > 65535:
		return usage("--port %d: must be 1 to 65535", port)
	case len(args) == 1:
		dir, job = filepath.Dir(args[0]), filepath.Base(args[0])
		if ext := filepath.Ext(job); ext != ".yaml" && ext != ".yml" {
			return usage("%s: a job's file is named like van.yaml", args[0])
		}
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return plain(err)
	}
	defer root.Close()
	listener, err := net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", port))
	if err != nil {
		return fmt.Errorf("page: --port %d: %w", port, err)
	}
	token := rand.Text() + rand.Text()
	address := listener.Addr().String()
	server := &http.Server{
		Handler:           page.New(page.Options{Addr: address, Token: token, Job: job, Files: &folder{root: root}, Engine: newEngine()}),
		ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second, WriteTimeout: 2 * time.Minute, IdleTimeout: 2 * time.Minute,
		MaxHeaderBytes: 1 << 15,
		ErrorLog:       log.New(io.Discard, "", 0),
	}
	t.patient.Store(true)
	link := "http://" + address + "/?t=" + token
	if err := writeString(t.out, link+"\n"); err != nil {
		return errors.Join(named("-", err), listener.Close())
	}
	fmt.Fprintln(t.err, "Ctrl-C ends it.")
	if !quiet {
		show(link)
	}
	return serveUntil(ctx, server, listener)
}

// serveUntil serves until ctx ends, which is how a page is meant to end; answers under way get a moment to finish.
func serveUntil(ctx context.Context, server *http.Server, listener net.Listener) error {
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listener) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	last, stop := context.WithTimeout(context.Background(), time.Second)
	defer stop()
	if err := server.Shutdown(last); err != nil {
		return server.Close()
	}
	return nil
}

// show opens an address in the user's browser, if the system has a way; the address stands on standard output anyway.
func show(link string) {
	name, args := "xdg-open", []string{link}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", link}
	}
	cmd := exec.Command(name, args...)
	if err := cmd.Start(); err == nil {
		go func() { _ = cmd.Wait() }() // it may end when it likes
	}
}

// pageEndings are the files of a folder that a page offers.
var pageEndings = []string{".yaml", ".yml", ".csv"}

// offered reports whether a page offers a file of this name.
func offered(name string) bool {
	return slices.ContainsFunc(pageEndings, func(e string) bool { return strings.HasSuffix(name, e) })
}
