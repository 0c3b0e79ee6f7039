//go:build deps

package main

import (
	_ "github.com/adrg/xdg"
	_ "github.com/chromedp/chromedp"
	_ "github.com/gin-gonic/gin"
	_ "github.com/goccy/go-yaml"
	_ "github.com/mattn/go-sqlite3"
	_ "github.com/spf13/cobra"
	_ "github.com/stretchr/testify/require"
	_ "github.com/yuin/goldmark"
	_ "gonum.org/v1/gonum/interp"
	_ "gonum.org/v1/gonum/mat"
	_ "pgregory.net/rapid"
)
