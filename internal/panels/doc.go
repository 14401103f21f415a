// Package panels turns an outside shape and a board into the pieces of wood that make the box.
package panels
