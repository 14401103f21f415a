// Command cubby sizes a subwoofer enclosure for a measured space in a vehicle and prints the sheet it is built from.
//
// It alone touches the world outside: arguments, files, terminal, signals, the clock, a socket for the page. Each
// command has a file of its own with its flags; what it does is in the packages under internal.
//
//	main.go, run.go    the commands, and one table from kind of error to exit status; signals_unix.go, signals_other.go
//	files.go           what is read; outputs.go what is written, all files of a run or none
//	help.go, completion.go, licences.go  what the program tells of itself
//	design.go          a design, and the flags that reports share; summary.go its words; machines.go files for machines
//	check.go, pairs.go ready-made boxes, with one driver or many; check_text.go their words
//	driver.go          a driver's data; driver_text.go their words; driver_paste.go a maker's sheet;
//	                   driver_measured.go sweeps
//	rank.go            many drivers; rank_text.go their table
//	measured.go        a finished box by its impedance
//	sheets.go          shared sheets; sheets_gather.go what is laid on them
//	new.go             a job to start from
//	page.go            the page; page_engine.go what answers it, page_files.go its folder, page_js.go without a server
package main
