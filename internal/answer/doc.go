// Package answer turns the text of a job into what a page shows of it: the text after edits, its tree with sizes, its
// faults, what is still to be settled, and the design. It is one function, [Engine.Ask], from a question to a stream of
// parts, all of them plain JSON, so that a server and a browser's own machine can answer alike. [Engine.File] makes the
// documents that a person takes away. It opens nothing, reads no clock and holds no state between questions.
//
// Files: engine.go the question and its parts; tree.go the tree with sizes in both systems; settle.go what changes the
// verdict while the job is silent; curves.go the curves as columns; file.go documents.
package answer
