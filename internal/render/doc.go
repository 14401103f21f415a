// Package render sets a finished design on paper: part A for the person who fits the box and the customer, part B for the
// workshop that builds it.
//
// Every number in print comes from a [cubby/internal/design.Result]; this package does layout arithmetic and formats units,
// and computes no engineering figure.
//
// A page is laid out on a [Recorder], which keeps what is drawn as a list. Nothing reaches the document until all pages are
// laid out, so totals ("page 3 of 14") are known when heads and feet are set, and tests look at the same list that is printed.
//
// Coordinates are millimetres from the upper left corner of the page, y down. Text sizes are points. Everything is black,
// white or grey: the document is read from a black-and-white print.
//
// Pages and drawings of both parts:
//
//	document.go        options and the PDF; page.go pages with heads and feet, blocks.go blocks one under the
//	                   other, table.go tables
//	canvas.go          what is drawn on; canvas_record.go keeps it, canvas_shown.go tells what shows of it,
//	                   canvas_pdf.go and canvas_svg.go write it, canvas_plot.go lets the plotting library draw
//	text.go, fonts.go, figures.go  lines of text, their widths, numbers in words and units
//	draw_sheet.go      a drawing whose texts keep off each other; draw_dimension.go dimensions,
//	                   draw_views.go three views of a thing, draw_solid.go the isometric view
//	check_report.go, pairs_report.go, rank_report.go, measured_report.go, sheets_report.go  the reports of other commands
//
// Part A:
//
//	fitter.go          its pages in order, as few as they take
//	fitter_front.go    the answer: box in its space, level, settings, key figures
//	fitter_offers.go   what needs care, what else was possible, size against note and loudness, where the air goes
//	fitter_graphs.go, fitter_checks.go  graphs and checks
//	fitter_place.go    views of the space, placing, stick tests, the cardboard dummy
//	fitter_fitting.go, fitter_form.go  cautions, setting up, the as-built form
//	scene.go           bodies and surfaces from any direction: painted from the back, lines cut where they are hidden
//	space_scene.go     the space by its stations, its blocks and the box as a scene
//	callouts.go        names in the margins of a drawing
//	graph.go, graph_draw.go  diagrams with curves, bands and limits
//
// Part B, from the plan of work and the boards' solids:
//
//	shop.go            its pages in order, as few as they take
//	shop_front.go, shop_list.go  the shop sheet: box, section through the walls, panel list
//	shop_cuts.go, shop_sheet.go  the one table of cuts, and the sheets with their numbers
//	shop_panels.go     cards of panels in two columns: drawing, edge sections, tables, texts
//	shop_plate.go, shop_openings.go  the drawing of any panel, and its openings
//	shop_section.go, shop_corners.go, shop_datum.go  bevels and rabbets, corners, where openings are measured from
//	shop_slot.go, shop_tube.go  how ports stand
//	shop_assembly.go, shop_hardware.go, shop_draw.go  pieces pulled apart, bill, steps
//	shop_checks.go, shop_measure.go, shop_screws.go  the form that goes back, lengths in the shop's units, screws, cautions
//	shop_templates.go, draw_tile.go  full size, over several pages
//
// Files for machines are made of the boards and the layout, and nothing is worked out again:
//
//	machine_board.go   a board in its own frame: its two faces, steps, openings
//	machine_mesh.go, machine_ears.go  its closed surface of triangles
//	machine_solids.go, machine_files.go  STL and 3MF of panels, box and exploded box
//	machine_flat.go, machine_panel.go, machine_sheet.go  a panel or sheet as outlines on layers, and what is left to be done by hand
//	machine_dxf.go, machine_svg.go  a flat as DXF and as SVG
//	canvas_svg.go      any recorded drawing as SVG
package render
