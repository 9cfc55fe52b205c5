package logfile

import "bytes"

// foreigners are files that people take for logs, by their first bytes.
var foreigners = []struct{ begins, what string }{
	{"%PDF-", "a PDF"},
	{"\xD0\xCF\x11\xE0", "a workbook of the old kind (xls) or another compound file"},
	{"MDF     3", "a measurement data file of version 3"},
	{"MDF     2", "a measurement data file of version 2"},
	{"SQLite format 3\x00", "a database"},
	{"\x89HDF\r\n", "an HDF5 file"},
	{"MATLAB 5.0", "a MAT file"},
	{"7z\xBC\xAF\x27\x1C", "a 7z archive"},
	{"Rar!", "a RAR archive"},
	{"BZh", "packed with bzip2"},
	{"\xFD7zXZ\x00", "packed with xz"},
	{"\x28\xB5\x2F\xFD", "packed with zstd"},
	{"<!DOCTYPE html", "a web page"}, {"<!doctype html", "a web page"}, {"<html", "a web page"},
	{"<?xml", "XML"}, {"{\"", "JSON"}, {"[{", "JSON"}, {"{\n", "JSON"}, {"[[", "JSON"},
}

// foreign names what a file is by its first bytes, "" when it may be a log.
func foreign(head []byte) string {
	text := bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\xEF\xBB\xBF")), " \t\r\n")
	for _, f := range foreigners {
		if bytes.HasPrefix(head, []byte(f.begins)) || bytes.HasPrefix(text, []byte(f.begins)) {
			return f.what
		}
	}
	return ""
}
