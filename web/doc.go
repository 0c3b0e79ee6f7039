// Package web is the site: routes, pages, figures, styles and scripts.
//
// A page is a template in templates/, a typed view struct in the file of its
// name, and a handler that fills it. Pages are rendered to a buffer and then
// written. Styles and scripts are plain files in static/, served under a name
// that holds their hash. Everything works without scripts; scripts make it
// nicer.
package web
