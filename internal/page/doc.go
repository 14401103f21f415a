// Package page serves a job as a page in the browser, on this machine only: the second front end to the same job file.
//
// It has no state of a job: the browser holds the text and sends it with every change, and [cubby/internal/answer] answers.
// Files are read and saved through a small interface, [Files]; the package opens none, and no socket. Nothing that the page
// loads comes from elsewhere.
//
// Files: server.go the routes; guard.go who may ask; ask.go answers as a stream, newest first; assets the page itself, plain
// ES modules and two vendored libraries with their licences.
package page
