// Package store keeps what a shop has logged and written down: the logs byte
// for byte, the catalogue of passes, car sheets with their revisions, notes,
// results, forecasts with their scores, inspections, and a journal of every
// change. It knows nothing of analysis: results come in as JSON with a few
// catalogue columns beside it, and the log itself is always there to compute
// them again.
//
// Promises, each with a test:
//
//   - A kill at any moment leaves the store as before or after a change, never
//     between; so does a full disk or a missing permission.
//   - Adding a file twice is harmless, and heals an original that was lost.
//   - Nothing written is overwritten: sheets, notes and results get new
//     revisions; forecasts, scores, inspections and the journal can only grow,
//     and forecasts and journal are chained by SHA-256, so that a later change
//     shows.
//   - What is removed can be brought back until it is dropped for good.
//   - A store of any past format opens; the file is copied before each step.
//
// What can be made from the logs again, such as decoded columns, lies in a cache
// that may be deleted at any time.
//
// One process writes at a time (a lock file, then BEGIN IMMEDIATE), any number
// read. The folder must be on a local disk: SQLite's write-ahead log does not
// work over a network. The format is described in docs/store.md.
package store
