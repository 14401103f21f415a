//go:build !unix

package main

import "os"

// endings are the signals that end a run in order.
func endings() []os.Signal { return []os.Signal{os.Interrupt} }
