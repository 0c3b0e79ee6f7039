// Package expansion is about a closed system's pressures at rest and about the
// tank that takes up the water's growth: net growth, size of the tank, fill
// pressure, and the pressure at any point counted from the one place where the
// tank holds it.
//
// Pressures are gauge unless a name or a comment says absolute; [Absolute]
// turns one into the other at sea level. Volumes are in m³, heights in m.
package expansion
