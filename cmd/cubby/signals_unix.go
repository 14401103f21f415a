//go:build unix

package main

import (
	"os"
	"os/signal"
	"syscall"
)

// endings are the signals that end a run in order. A hang-up counts unless it is ignored, as nohup has it.
func endings() []os.Signal {
	signal.Ignore(syscall.SIGPIPE) // a reader that has gone is an error of writing, which has its line and its status
	all := []os.Signal{os.Interrupt, syscall.SIGTERM}
	if !signal.Ignored(syscall.SIGHUP) {
		all = append(all, syscall.SIGHUP)
	}
	return all
}
