// Package steady finds the steady flows and heads of any network of links, each
// with a law of head against flow, by Newton's method on all links and nodes at
// once.
//
// The equations are the energy of each link and the balance of each node,
//
//	h_k(Q_k) = H_from − H_to        for each link k
//	Σ Q_in − Σ Q_out + inflow = 0   for each node whose head is not given
//
// Eliminating the flows from Newton's linear system leaves a symmetric positive
// definite matrix over the free nodes, whose entries are the conductances
// 1/h_k′: the global gradient method (E. Todini and S. Pilati 1988; E. Todini
// and L. Rossman, J. Hydraul. Eng. 139 (2013) 511).
//
// Every law rises with the flow (a circulator's, counted as a loss, too), so
// the solution is the one minimum of a convex function, the content Σ ∫ h dQ of
// the flows that balance at the nodes (M. Collins et al., Management Science
// 24 (1978) 747). Along a step that overshoots, the content's slope tells how
// far to go; so the method does not wander, whatever the start.
//
// Flows are in m³/s, heads in meters.
package steady
