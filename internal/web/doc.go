// Package web is the page in the pits: one window in the browser, no network. It
// asks app and store and renders; it computes nothing but where things stand.
//
// Every page is useful before any script runs. Scripts add dropping a log anywhere,
// progress without reloading, checks while one types, and the traces. The same
// address gives the same page after a restart: all that is kept is in the store.
package web
