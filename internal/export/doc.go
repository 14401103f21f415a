// Package export writes a result for machines: one JSON object, the curves as CSV and the parts as CSV.
//
// Names of keys and columns are a contract with the programs that read them: they carry their unit, and change only by
// addition. Numbers are written in the shortest form that reads back to the same value; what is unknown or not finite
// is null in JSON and empty in CSV. Frames and meanings of panels and sheets: lengths in millimetres, angles in
// degrees, a panel seen from outside with x to the right and y up (see package panels), a sheet from its lower left
// corner.
//
//	document.go        JSON objects, and what every document begins with
//	design.go, space.go, work.go  a design: the box; its space, place and sizes; the plan of work
//	sheets.go          layouts for saw and router
//	check.go, pairs.go, rank.go, measured.go, driver.go  the documents of the other commands
//	csv.go             curves and parts
package export
