package direct

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/walls"
	"fathomlux/scene/space"
)

// event is a wall plane or a box that a ray meets at a share of its horizontal way to the floor.
type event struct {
	way    float64
	wall   *walls.Table // nil for a box or an entry
	side   model.Side
	cosAir float64
	box    bool
	entry  bool
	beyond bool // a wall met after MaxOrder others along its axis: no image has what goes on from there
}

// follow sends one ray of the given flux down to the floor and books every part of it.
func (b *bundle) follow(local space.Vector, lumens float64) {
	d := b.source.Frame.World(local)
	level := math.Hypot(d.X, d.Y)
	if d.Z > -1e-6 {
		b.books.Spill += lumens
		return
	}
	tan := level / -d.Z
	rhoM, surfaceM := b.luminous.Land(tan)
	n := node{water: 1}
	if rhoM > 0 {
		n = node{sin: level / rhoM, tan: tan / rhoM, water: surfaceM / rhoM}
	}
	toX, toY := 0.0, 0.0
	if level > 0 {
		toX, toY = d.X/level*rhoM, d.Y/level*rhoM
	}
	mx, events, ok := b.meet(toX, b.source.Position.X, b.engine.model.LengthM, [2]model.Side{model.Left, model.Right}, &n, nil)
	my, events, okY := b.meet(toY, b.source.Position.Y, b.engine.model.WidthM, [2]model.Side{model.Front, model.Back}, &n, events)
	inside := ok && okY && b.getsIn(events, &n)
	b.strip = [2]int{abs(mx), abs(my)}
	if events = b.withBox(events, toX, toY, &n); inside {
		b.walk(events, tan, &n, lumens)
	} else {
		b.pass(events, &n, lumens)
	}
}

// getsIn tells whether a ray from beside the tank is within all walls once it is down at their upper end.
func (b *bundle) getsIn(events []event, n *node) bool {
	end := min(b.belowEnd(n), n.water)
	met := false
	for _, ev := range events {
		if ev.entry && (met || ev.way > end) {
			return false
		}
		met = met || !ev.entry
	}
	return true
}

// belowEnd returns the share of the way from which on walls hold the ray.
func (b *bundle) belowEnd(n *node) float64 { return b.rim.way(b.engine.model.HeightM(*b.source), n) }

// atLevel returns the share of the way at which the ray meets the cover, or the water of an open tank.
func (b *bundle) atLevel(n *node) float64 {
	c := b.engine.model.Cover
	if c == nil {
		return n.water
	}
	return (b.engine.model.HeightM(*b.source) - c.UndersideM - c.ThicknessM) * n.tan
}

// pass books a ray that never gets into the tank: spill, but for what boxes above the rim stop on the way.
func (b *bundle) pass(events []event, n *node, lumens float64) {
	end, level := b.belowEnd(n), b.atLevel(n)
	for _, ev := range events {
		if ev.box && ev.way < level {
			b.books.Obstacles += lumens
			return
		}
		if !ev.entry || ev.way > end {
			break
		}
	}
	b.books.Spill += lumens
}

// meet lists the planes along one axis that a ray with the signed reach to meets before the floor, merged into events by
// way, and the strip that it lands in. ok is false for a source outside the tank whose ray never looks in.
func (b *bundle) meet(to, from, length float64, sides [2]model.Side, n *node, events []event) (m int, all []event, ok bool) {
	m = int(math.Floor((from + to) / length))
	m = max(-MaxOrder-1, min(MaxOrder+1, m)) // no ray is followed further
	pair := sidePair{b.engine.sides[sides[0]], b.engine.sides[sides[1]]}
	c := cross(from, length, m, pair)
	if (from < 0 && m < 0) || (from > length && m > 0) {
		return m, events, false
	}
	if c.entry != 0 {
		events = insert(events, event{way: c.entry / to, entry: true})
	}
	cos := n.sin * math.Abs(to)
	for i, at := range c.at {
		side := sides[0]
		if c.walls[i] == pair.high {
			side = sides[1]
		}
		events = insert(events, event{way: at / to, wall: c.walls[i], side: side, cosAir: cos, beyond: i >= MaxOrder})
	}
	return m, events, true
}

// insert keeps events in the order of their ways.
func insert(events []event, e event) []event {
	events = append(events, e)
	for i := len(events) - 1; i > 0 && events[i].way < events[i-1].way; i-- {
		events[i], events[i-1] = events[i-1], events[i]
	}
	return events
}

// withBox inserts the first box that the ray meets, if any, in the strips that it passes one after the other.
func (b *bundle) withBox(events []event, toX, toY float64, n *node) []event {
	if len(b.sight.boxes) == 0 {
		return events
	}
	mx, my := 0, 0
	for k := 0; ; k++ {
		if at, found := b.firstBox(mx, my, toX, toY, n); found {
			return insert(events, event{way: at, box: true})
		}
		if k == len(events) {
			return events
		}
		if events[k].wall == nil {
			continue
		}
		if side := events[k].side; side == model.Left || side == model.Right {
			mx += int(math.Copysign(1, toX))
		} else {
			my += int(math.Copysign(1, toY))
		}
	}
}

// firstBox returns the share of the way at which the ray meets the first box of one strip.
func (b *bundle) firstBox(mx, my int, toX, toY float64, n *node) (first float64, found bool) {
	height := b.luminous.AirM + b.luminous.Pane.ThicknessM
	first = math.Inf(1)
	b.shades = b.sight.shades(b.shades[:0], b.sight.boxesIn(mx, my), sweep{source: b.source.Position, fixed: toY, low: min(0, toX), high: max(0, toX), heightM: height})
	for i := range b.shades {
		if at, hit := b.shades[i].hides(toX, height, b.sight.depthM, n); hit && at < first {
			first, found = at, true
		}
	}
	return first, found
}

// walk books the ray's losses in the order in which they happen: walls over the cover, cover, walls under it, surface, water and
// its walls, floor.
func (b *bundle) walk(events []event, tan float64, n *node, lumens float64) {
	reflected, absorbed, surface, through := b.luminous.Losses(tan)
	path := b.luminous.WaterPathM(tan)
	b.arrives = through * b.engine.lamps[b.source.Spectrum].kept.Luminous(path)
	if b.engine.model.Cover != nil {
		lumens, events = b.inAir(events, b.atLevel(n), n, lumens)
		b.books.Cover += lumens * (reflected + absorbed)
		lumens *= surface + through
		b.arrives /= surface + through
	}
	if lumens, events = b.inAir(events, n.water, n, lumens); lumens == 0 {
		return
	}
	mirrored := lumens * surface / (surface + through)
	b.books.Surface += mirrored
	b.books.Entered += lumens - mirrored
	b.inWater(events, path, n, lumens-mirrored)
}

// inAir books the events up to a share of the way and returns the lumens and the events that are left.
func (b *bundle) inAir(events []event, to float64, n *node, lumens float64) (float64, []event) {
	below := b.belowEnd(n)
	for ; len(events) > 0 && events[0].way < to && lumens > 0; events = events[1:] {
		if events[0].beyond && events[0].way >= below {
			b.leave(events, n, lumens, lumens*b.arrives)
			return 0, nil
		}
		lumens = b.meetDry(events[0], below, lumens)
	}
	return lumens, events
}

// meetDry books one event above the water and returns the lumens that go on.
func (b *bundle) meetDry(ev event, below, lumens float64) float64 {
	switch {
	case ev.entry:
		return lumens
	case ev.box:
		b.books.Obstacles += lumens
		return 0
	case ev.way < below:
		b.books.Spill += lumens
		return 0
	}
	kept := lumens * ev.wall.Air(ev.cosAir)
	b.lose(ev.side, lumens-kept)
	return kept
}

// inWater books absorption, walls, boxes and the floor for a ray that enters the water with the given lumens.
func (b *bundle) inWater(events []event, path float64, n *node, lumens float64) {
	lamp := b.engine.lamps[b.source.Spectrum]
	done, wall := 1.0, 1.0 // shares kept by the water and by the walls so far
	pure := 1.0            // share kept if nothing were scattered
	step := func(way float64) {
		reach := path
		if n.water < 1 {
			reach = path * (way - n.water) / (1 - n.water)
		}
		kept, unabsorbed := lamp.kept.Luminous(reach), lamp.unabsorbed.Luminous(reach)
		lost, taken := lumens*wall*(done-kept), lumens*wall*(pure-unabsorbed)*done/pure
		taken = math.Min(taken, lost)
		b.books.Water += taken
		b.books.Unfollowed += lost - taken
		done, pure = kept, unabsorbed
	}
	for i, ev := range events {
		step(ev.way)
		if ev.box {
			b.books.Obstacles += lumens * wall * done
			return
		}
		if ev.beyond {
			b.leave(events[i:], n, lumens*wall*done, lumens*wall*lamp.kept.Luminous(path))
			return
		}
		kept := ev.wall.Water(ev.cosAir)
		b.lose(ev.side, lumens*wall*done*(1-kept))
		wall *= kept
		if wall == 0 {
			return
		}
	}
	step(1)
	arriving := lumens * wall * done
	b.books.Floor += arriving * (1 - b.engine.model.FloorReflectance)
	b.books.Unfollowed += arriving * b.engine.model.FloorReflectance
	b.land(arriving)
}

// leave books light that no image has from events[0] on, and notes how much of it would reach the floor: arriving, lm, where no wall
// or box took any.
func (b *bundle) leave(events []event, n *node, lumens, arriving float64) {
	b.books.Unfollowed += lumens
	for _, ev := range events[1:] {
		switch {
		case ev.box:
			arriving = 0
		case ev.way < n.water:
			arriving *= ev.wall.Air(ev.cosAir)
		default:
			arriving *= ev.wall.Water(ev.cosAir)
		}
	}
	b.land(arriving)
}

// land notes what reaches the floor, or would.
func (b *bundle) land(lumens float64) {
	if b.landed != nil {
		b.landed[b.strip[0]][b.strip[1]] += lumens
	}
}

// lose books what a wall does not mirror: out through it or absorbed, but for what a diffuse wall sends back.
func (b *bundle) lose(side model.Side, lumens float64) {
	back := 0.0
	if w := b.engine.model.Walls[side]; w.Kind == walls.Diffuse {
		back = w.Reflectance
	}
	b.books.Walls += lumens * (1 - back)
	b.books.Unfollowed += lumens * back
}

func abs(i int) int {
	if i < 0 {
		return -i
	}
	return i
}
