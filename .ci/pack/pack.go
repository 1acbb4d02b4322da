// Command pack writes a folder as an archive whose bytes depend on nothing but the names, contents and executable bits
// of its files: in the order of their names, owned by root, of one date.
//
//	pack tar.gz OUT FOLDER PREFIX
//	pack zip OUT FOLDER PREFIX
//	pack deb OUT FOLDER CONTROL
//
// PREFIX is the folder in which all files of an archive lie. CONTROL is the file of that name of a Debian package
// (deb-control(5)), whose files lie in FOLDER as below /. The date is SOURCE_DATE_EPOCH, in seconds since 1970, and at
// least 1980, with which zip begins.
package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"crypto/md5"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strconv"
	"time"
)

// entry is a file or a folder of an archive. Folders end in a slash and hold nothing.
type entry struct {
	name string
	mode fs.FileMode
	data []byte
}

// entries lists what lies in a folder, in the order of the names.
func entries(folder, prefix string) (list []entry, err error) {
	err = filepath.WalkDir(folder, func(at string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		inside, err := filepath.Rel(folder, at)
		if err != nil {
			return err
		}
		one := entry{name: path.Join(prefix, filepath.ToSlash(inside)), mode: 0o644}
		info, err := d.Info()
		switch {
		case err != nil:
			return err
		case d.IsDir():
			one.name, one.mode = one.name+"/", fs.ModeDir|0o755
		case !d.Type().IsRegular():
			return fmt.Errorf("%s is neither a file nor a folder", at)
		case info.Mode()&0o100 != 0:
			one.mode = 0o755
		}
		if !d.IsDir() {
			if one.data, err = os.ReadFile(at); err != nil {
				return err
			}
		}
		list = append(list, one)
		return nil
	})
	return list, err
}

// date returns that of all files.
func date() time.Time {
	const first = 315532800 // 1980-01-01
	seconds, _ := strconv.ParseInt(os.Getenv("SOURCE_DATE_EPOCH"), 10, 64)
	return time.Unix(max(first, seconds), 0).UTC()
}

// tarball returns the entries as a compressed tar file.
func tarball(list []entry) ([]byte, error) {
	var b bytes.Buffer
	packed, _ := gzip.NewWriterLevel(&b, gzip.BestCompression)
	w := tar.NewWriter(packed)
	for _, e := range list {
		h := &tar.Header{Name: e.name, Mode: int64(e.mode.Perm()), Size: int64(len(e.data)), ModTime: date(), Uname: "root",
			Gname: "root", Typeflag: tar.TypeReg, Format: tar.FormatGNU}
		if e.mode.IsDir() {
			h.Typeflag = tar.TypeDir
		}
		if err := w.WriteHeader(h); err != nil {
			return nil, err
		}
		if _, err := w.Write(e.data); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	err := packed.Close()
	return b.Bytes(), err
}

// zipped returns the entries as a zip file.
func zipped(list []entry) ([]byte, error) {
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, e := range list {
		h := &zip.FileHeader{Name: e.name, Method: zip.Deflate, Modified: date()}
		h.SetMode(e.mode)
		f, err := w.CreateHeader(h)
		if err == nil && !e.mode.IsDir() {
			_, err = f.Write(e.data)
		}
		if err != nil {
			return nil, err
		}
	}
	err := w.Close()
	return b.Bytes(), err
}

// debian returns a Debian package (deb(5)) of files and a control file.
func debian(list []entry, controlFile string) ([]byte, error) {
	control, err := os.ReadFile(controlFile)
	if err != nil {
		return nil, err
	}
	var sums []byte
	for _, e := range list {
		if !e.mode.IsDir() {
			sums = fmt.Appendf(sums, "%x  %s\n", md5.Sum(e.data), e.name)
		}
	}
	about, err := tarball([]entry{{"./", fs.ModeDir | 0o755, nil}, {"./control", 0o644, control},
		{"./md5sums", 0o644, sums}})
	if err != nil {
		return nil, err
	}
	for i := range list {
		list[i].name = "./" + list[i].name
	}
	list[0].name = "./"
	data, err := tarball(list)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	b.WriteString("!<arch>\n")
	for _, member := range []entry{{"debian-binary", 0o644, []byte("2.0\n")}, {"control.tar.gz", 0o644, about},
		{"data.tar.gz", 0o644, data}} {
		fmt.Fprintf(&b, "%-16s%-12d%-6d%-6d%-8s%-10d`\n", member.name, date().Unix(), 0, 0, "100644", len(member.data))
		b.Write(member.data)
		if len(member.data)%2 == 1 {
			b.WriteByte('\n')
		}
	}
	return b.Bytes(), nil
}

func pack(form, out, folder, last string) error {
	prefix := last
	if form == "deb" {
		prefix = ""
	}
	list, err := entries(folder, prefix)
	if err != nil {
		return err
	}
	var data []byte
	switch form {
	case "tar.gz":
		data, err = tarball(list)
	case "zip":
		data, err = zipped(list)
	case "deb":
		data, err = debian(list, last)
	default:
		err = fmt.Errorf("%q is no form of archive; tar.gz, zip and deb are", form)
	}
	if err != nil {
		return err
	}
	return os.WriteFile(out, data, 0o644)
}

func main() {
	if len(os.Args) != 5 {
		io.WriteString(os.Stderr, "pack tar.gz|zip|deb OUT FOLDER PREFIX|CONTROL\n")
		os.Exit(2)
	}
	if err := pack(os.Args[1], os.Args[2], os.Args[3], os.Args[4]); err != nil {
		fmt.Fprintln(os.Stderr, "pack:", err)
		os.Exit(1)
	}
}
