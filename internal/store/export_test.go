package store

import "io/fs"

// SetDriver makes stores opened from now on use another registered driver.
func SetDriver(name string) (back func()) {
	was := driver
	driver = name
	return func() { driver = was }
}

// SetMigrations makes stores opened from now on use other steps.
func SetMigrations(f fs.FS) (back func()) {
	was := migrations
	migrations = f
	return func() { migrations = was }
}

// Embedded are the real steps.
func Embedded() fs.FS { return embedded }
