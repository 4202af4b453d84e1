//go:build ignore

// Command generate makes what a browser judges readings with: the program in
// browser, and what Go needs to run in a browser. It is left as it is where it
// answers as the core does now (TestInBrowser), because a megabyte that differs in
// nothing but the numbers of lines need not be kept again; -f makes it anyway.
package main

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"log"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

const static = "../static/"

func main() {
	log.SetFlags(0)
	if force := len(os.Args) > 1 && os.Args[1] == "-f"; !force && answersAsTheCore() {
		return
	}
	if err := make(); err != nil {
		log.Fatal(err)
	}
}

func answersAsTheCore() bool {
	test := exec.Command("go", "test", "-run", "^TestInBrowser$", ".")
	test.Env = append(os.Environ(), "STANDIN_TEST_REQUIRE=1")
	return test.Run() == nil
}

func make() error {
	dir, err := os.MkdirTemp("", "standin-judge-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	made := filepath.Join(dir, "judge.wasm")
	build := exec.Command("go", "build", "-trimpath", "-buildvcs=false", "-ldflags", "-s -w -buildid=", "-o", made, "./browser")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	build.Stderr = os.Stderr
	if err := build.Run(); err != nil {
		return fmt.Errorf("the program for browsers does not build: %w", err)
	}
	program, err := os.ReadFile(made)
	if err != nil {
		return err
	}
	var packed bytes.Buffer
	w, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		return err
	}
	if _, err := w.Write(program); err != nil {
		return err
	}
	if err := w.Close(); err != nil {
		return err
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return err
	}
	runner, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return err
	}
	if err := os.WriteFile(static+"wasm_exec.js", runner, 0o644); err != nil {
		return err
	}
	log.Printf("judge.wasm: %.1f MB, %.2f MB packed", float64(len(program))/1e6, float64(packed.Len())/1e6)
	return os.WriteFile(static+"judge.wasm.gz", packed.Bytes(), 0o644)
}
