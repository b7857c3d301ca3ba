// Firstlook is the program at the top of README.md.
package main
