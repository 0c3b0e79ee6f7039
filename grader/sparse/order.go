package sparse

// order gives the sequence in which to eliminate the unknowns of a symmetric
// pattern: always one with the least approximate degree.
//
// The graph of what is left is kept as a quotient graph: an eliminated unknown
// becomes an element, a clique that is stored by the list of its members only.
// An unknown lists the unknowns it still touches directly and the elements it
// belongs to. Its degree is bounded from above by the sizes of those, each less
// what it shares with the newest element (Amestoy, Davis and Duff 1996).
func order(n int, adjacent [][]int32) []int32 {
	q := quotient{
		direct: adjacent, elements: make([][]int32, n), members: make([][]int32, n),
		degree: make([]int, n), mark: make([]int32, n), shared: make([]int, n), sharedAt: make([]int32, n),
		state: make([]state, n),
		head:  make([]int32, n+1), next: make([]int32, n), prev: make([]int32, n),
	}
	for d := range q.head {
		q.head[d] = none
	}
	for i := range n {
		q.insert(int32(i), len(adjacent[i]))
	}
	sequence := make([]int32, 0, n)
	least := 0
	for len(sequence) < n {
		for q.head[least] == none {
			least++
		}
		pivot := q.head[least]
		q.remove(pivot)
		sequence = append(sequence, pivot)
		least = min(least, q.eliminate(pivot, n-len(sequence)))
	}
	return sequence
}

const none = int32(-1)

type state uint8

const (
	unknown state = iota
	element
	absorbed
)

type quotient struct {
	direct   [][]int32 // unknowns touched directly, by unknown
	elements [][]int32 // elements an unknown belongs to
	members  [][]int32 // unknowns of an element
	degree   []int
	state    []state

	mark  []int32 // mark[i] == stamp: i is in the set at hand
	stamp int32
	// shared[e] counts the members of e outside the newest element; it is
	// valid if sharedAt[e] == stamp.
	shared   []int
	sharedAt []int32

	// Unknowns of equal degree are in a doubly linked list.
	head, next, prev []int32
}

func (q *quotient) insert(i int32, degree int) {
	q.degree[i] = degree
	h := q.head[degree]
	q.next[i], q.prev[i] = h, none
	if h != none {
		q.prev[h] = i
	}
	q.head[degree] = i
}

func (q *quotient) remove(i int32) {
	if p := q.prev[i]; p != none {
		q.next[p] = q.next[i]
	} else {
		q.head[q.degree[i]] = q.next[i]
	}
	if n := q.next[i]; n != none {
		q.prev[n] = q.prev[i]
	}
}

// eliminate turns an unknown into an element and renews the degrees of its
// members; it gives the least of them. left is how many unknowns remain.
func (q *quotient) eliminate(pivot int32, left int) int {
	q.stamp++
	stamp := q.stamp
	q.mark[pivot] = stamp
	var list []int32
	add := func(candidates []int32) {
		for _, i := range candidates {
			if q.state[i] == unknown && q.mark[i] != stamp {
				q.mark[i] = stamp
				list = append(list, i)
			}
		}
	}
	add(q.direct[pivot])
	for _, e := range q.elements[pivot] {
		if q.state[e] == element {
			add(q.members[e])
			q.state[e], q.members[e] = absorbed, nil
		}
	}
	q.state[pivot], q.members[pivot] = element, list
	q.direct[pivot], q.elements[pivot] = nil, nil

	// First pass: how much of each neighboring element lies outside this one.
	for _, i := range list {
		keep := q.elements[i][:0]
		for _, e := range q.elements[i] {
			if q.state[e] != element {
				continue
			}
			keep = append(keep, e)
			if q.sharedAt[e] != stamp {
				q.sharedAt[e], q.shared[e] = stamp, q.size(e)
			}
			q.shared[e]--
		}
		q.elements[i] = keep
	}
	least := left
	for _, i := range list {
		// What the new element covers need not be listed directly any more.
		keep := q.direct[i][:0]
		for _, j := range q.direct[i] {
			if q.state[j] == unknown && q.mark[j] != stamp {
				keep = append(keep, j)
			}
		}
		q.direct[i] = keep
		degree := len(keep) + len(list) - 1
		elements := q.elements[i][:0]
		for _, e := range q.elements[i] {
			if q.shared[e] == 0 { // wholly inside the new element
				q.state[e], q.members[e] = absorbed, nil
			}
			if q.state[e] == element {
				elements = append(elements, e)
				degree += q.shared[e]
			}
		}
		q.elements[i] = append(elements, pivot)
		q.remove(i)
		degree = min(degree, left-1, q.degree[i]+len(list))
		q.insert(i, degree)
		least = min(least, degree)
	}
	return least
}

// size counts the members of an element that are still unknowns, and drops the
// others.
func (q *quotient) size(e int32) int {
	keep := q.members[e][:0]
	for _, i := range q.members[e] {
		if q.state[i] == unknown {
			keep = append(keep, i)
		}
	}
	q.members[e] = keep
	return len(keep)
}
