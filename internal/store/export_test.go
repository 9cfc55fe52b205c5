package store

// SetDriver makes stores opened from now on use another registered driver.
func SetDriver(name string) (back func()) {
	was := driver
	driver = name
	return func() { driver = was }
}
