package network

import (
	"fmt"
	"slices"
	"strings"
)

// TopologyError names what is wrong with how a system hangs together.
type TopologyError struct{ Problems []string }

func (e *TopologyError) Error() string { return strings.Join(e.Problems, "\n") }

// index numbers the nodes: those described, then those that links name.
func index(s *System) (nodes []Node, of map[string]int, problems []string) {
	of = make(map[string]int, len(s.Nodes))
	for _, n := range s.Nodes {
		if _, double := of[n.ID]; double {
			problems = append(problems, fmt.Sprintf("node %s is described twice", n.ID))
			continue
		}
		of[n.ID] = len(nodes)
		nodes = append(nodes, n)
	}
	described := len(nodes)
	used := make([]bool, described)
	links := make(map[string]bool, len(s.Links))
	for _, l := range s.Links {
		if links[l.ID] {
			problems = append(problems, fmt.Sprintf("link %s is described twice", l.ID))
		}
		links[l.ID] = true
		if l.From == l.To {
			problems = append(problems, fmt.Sprintf("link %s leads from node %s to itself", l.ID, l.From))
		}
		for _, id := range []string{l.From, l.To} {
			i, known := of[id]
			if !known {
				of[id] = len(nodes)
				nodes = append(nodes, Node{ID: id})
			} else if i < described {
				used[i] = true
			}
		}
	}
	for i, u := range used {
		if !u {
			problems = append(problems, fmt.Sprintf("node %s has no link", nodes[i].ID))
		}
	}
	return nodes, of, problems
}

// edge is one end of a link as seen from a node.
type edge struct{ link, to int }

// checkTopology names every part of a system that cannot work whatever is
// opened or shut: no pressure reference, nothing that drives it, a circulator
// or an emitter on a dead end.
func (m *Model) checkTopology() []string {
	n := len(m.nodes)
	// One more node stands for the world: it joins all points where water can
	// enter or leave.
	world := n
	adjacent := make([][]edge, n+1)
	join := func(k, a, b int) {
		adjacent[a] = append(adjacent[a], edge{k, b})
		adjacent[b] = append(adjacent[b], edge{k, a})
	}
	for k, l := range m.sys.Links {
		join(k, m.nodeOf[l.From], m.nodeOf[l.To])
	}
	part := parts(adjacent[:n])
	var problems []string
	problems = append(problems, m.checkParts(part)...)
	for i, node := range m.nodes {
		if node.Hold != nil || node.Inflow != 0 {
			join(len(m.sys.Links)+i, i, world)
		}
	}
	for _, k := range slices.Sorted(slices.Values(bridges(adjacent))) {
		if k >= len(m.sys.Links) {
			continue
		}
		l := m.sys.Links[k]
		switch l.Part.(type) {
		case Circulator:
			problems = append(problems, fmt.Sprintf("circulator %s has no path: no way leads from %s back to %s", l.ID, l.To, l.From))
		case Source, Radiator:
			problems = append(problems, fmt.Sprintf("%s %s is a dead end: nothing can flow through it", l.Part.kind(), l.ID))
		}
	}
	return problems
}

func (m *Model) checkParts(part []int) []string {
	type facts struct {
		nodes         []int
		held, inflows int
		driven        bool
	}
	all := map[int]*facts{}
	var order []int
	for i, p := range part {
		if all[p] == nil {
			all[p] = &facts{}
			order = append(order, p)
		}
		f := all[p]
		f.nodes = append(f.nodes, i)
		if m.nodes[i].Hold != nil {
			f.held++
		}
		if m.nodes[i].Inflow != 0 {
			f.inflows++
		}
	}
	for _, l := range m.sys.Links {
		f := all[part[m.nodeOf[l.From]]]
		switch l.Part.(type) {
		case Circulator:
			f.driven = true
		case Source:
			f.driven = f.driven || m.sys.Buoyancy && m.sys.Temperatures
		}
	}
	var problems []string
	for _, p := range order {
		f := all[p]
		names := m.names(f.nodes)
		if f.held == 0 {
			problems = append(problems, fmt.Sprintf("nothing holds the pressure in the part with %s; name the node where it is held, for example %s: {pressure: 12 psi}", names, m.nodes[f.nodes[0]].ID))
		}
		if !f.driven && f.held < 2 && f.inflows == 0 {
			problems = append(problems, fmt.Sprintf("nothing drives water through the part with %s: it has no circulator, no inflow and no second fixed pressure", names))
		}
	}
	return problems
}

func (m *Model) names(nodes []int) string {
	const most = 6
	ids := make([]string, 0, most+1)
	for i, k := range nodes {
		if i == most {
			ids = append(ids, fmt.Sprintf("%d more", len(nodes)-most))
			break
		}
		ids = append(ids, m.nodes[k].ID)
	}
	if len(ids) == 1 {
		return "node " + ids[0]
	}
	return "nodes " + strings.Join(ids[:len(ids)-1], ", ") + " and " + ids[len(ids)-1]
}

// parts numbers the connected parts of a graph by their first node.
func parts(adjacent [][]edge) []int {
	part := make([]int, len(adjacent))
	for i := range part {
		part[i] = -1
	}
	var stack []int
	for i := range part {
		if part[i] >= 0 {
			continue
		}
		part[i] = i
		stack = append(stack, i)
		for len(stack) > 0 {
			v := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			for _, e := range adjacent[v] {
				if part[e.to] < 0 {
					part[e.to] = i
					stack = append(stack, e.to)
				}
			}
		}
	}
	return part
}

// bridges finds the links whose removal would part the graph: no loop leads
// through them. It is R. Tarjan's search by lowest number reached (Information
// Processing Letters 2 (1974) 160), without recursion.
func bridges(adjacent [][]edge) []int {
	n := len(adjacent)
	number, low, next := make([]int, n), make([]int, n), make([]int, n)
	var found []int
	type step struct{ node, via int }
	count := 0
	for root := range n {
		if number[root] != 0 {
			continue
		}
		count++
		number[root], low[root] = count, count
		stack := []step{{root, -1}}
		for len(stack) > 0 {
			top := stack[len(stack)-1]
			v := top.node
			if next[v] < len(adjacent[v]) {
				e := adjacent[v][next[v]]
				next[v]++
				switch {
				case e.link == top.via:
				case number[e.to] != 0:
					low[v] = min(low[v], number[e.to])
				default:
					count++
					number[e.to], low[e.to] = count, count
					stack = append(stack, step{e.to, e.link})
				}
				continue
			}
			stack = stack[:len(stack)-1]
			if len(stack) > 0 {
				u := stack[len(stack)-1].node
				low[u] = min(low[u], low[v])
				if low[v] > number[u] {
					found = append(found, top.via)
				}
			}
		}
	}
	return found
}
