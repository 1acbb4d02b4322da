#define _GNU_SOURCE
/* The photon tracer of package trace in plain C, to compare with: the same events in the same tank, with the mathematics of
 * libm. A history is a packet of lumens with its micromoles; absorption by the water is a weight, everything else is played.
 *
 * Standard input: doubles, in the machine's own order, as read_world takes them.
 * "sum BATCHES" writes lumens and micromoles that landed in each cell, in units of a history, then the books.
 * "time PASSES" writes the shortest time of PASSES batches, in seconds. */
#include "tank.h"
#include "faces.h"

static void lose(photon *p, double weight, int entry) {
    double kept = weight;
    if (p->path > 0) {
        kept *= exp(-p->c->absorb * p->path);
        books[WATER] += weight - kept;
    }
    books[entry] += kept;
}

static void end(photon *p, int entry) {
    lose(p, p->w, entry);
    p->in = ENDED;
}

static void gone(photon *p) { end(p, p->entered ? RETURNED : p->met ? SURFACE : SPILL); }

static void draw_free(photon *p) { p->way_free = p->c->scatter > 0 ? -log(1 - unit()) / p->c->scatter : DBL_MAX; }

/* lambert sends a photon away from a face, cosine-distributed. */
static void lambert(photon *p, int from) {
    double u = unit(), side = sqrt(u), up = sqrt(1 - u), s, c;
    sincos(2 * M_PI * unit(), &s, &c);
    double a = side * c, b = side * s;
    switch (from) {
    case LEFT: p->dx = up, p->dy = a, p->dz = b; break;
    case RIGHT: p->dx = -up, p->dy = a, p->dz = b; break;
    case FRONT: p->dx = a, p->dy = up, p->dz = b; break;
    case BACK: p->dx = a, p->dy = -up, p->dz = b; break;
    default: p->dx = a, p->dy = b, p->dz = up;
    }
    if (p->in == WET)
        draw_free(p);
    else
        p->parallel = bits() & 1;
}

static void bounce(photon *p, double share, int from, int entry) {
    if (unit() >= share) {
        end(p, entry);
        return;
    }
    lambert(p, from);
}

/* turn puts a photon on a side and mirrors it there; it returns the cosine against the normal. */
static inline double turn(photon *p, int side) {
    switch (side) {
    case LEFT: p->x = 0; return p->dx = fabs(p->dx);
    case RIGHT: p->x = length; p->dx = -fabs(p->dx); return -p->dx;
    case FRONT: p->y = 0; return p->dy = fabs(p->dy);
    default: p->y = width; p->dy = -fabs(p->dy); return -p->dy;
    }
}

static inline void narrow(double low, double high, double at, double d, double *in, double *out) {
    if (d == 0) {
        if (at < low || at > high) *in = 1, *out = 0;
        return;
    }
    double a = (low - at) / d, b = (high - at) / d;
    if (a > b) {
        double c = a;
        a = b, b = c;
    }
    if (a > *in) *in = a;
    if (b < *out) *out = b;
}

static double first_box(const box *list, int n, const photon *p) {
    double first = DBL_MAX;
    for (int i = 0; i < n; i++) {
        double in = 0, out = first;
        narrow(list[i].min[0], list[i].max[0], p->x, p->dx, &in, &out);
        narrow(list[i].min[1], list[i].max[1], p->y, p->dy, &in, &out);
        narrow(list[i].min[2], list[i].max[2], p->z, p->dz, &in, &out);
        if (in < out) first = in;
    }
    return first;
}

/* plane returns the way to the next wall plane across one axis, from inside or outside; high tells which. */
static inline double plane(double at, double d, double far, int *high) {
    *high = 0;
    if (d > 0 && at < 0) return -at / d;
    if (d > 0 && at <= far) {
        *high = 1;
        return (far - at) / d;
    }
    if (d < 0 && at > far) {
        *high = 1;
        return (far - at) / d;
    }
    if (d < 0 && at >= 0) return -at / d;
    return DBL_MAX;
}

static void wall_dry(photon *p, int side) {
    int inward = (side == LEFT && p->dx > 0) || (side == RIGHT && p->dx < 0) || (side == FRONT && p->dy > 0) || (side == BACK && p->dy < 0);
    if (inward != (p->z >= rim)) {
        gone(p);
        return;
    }
    double dx = p->dx, dy = p->dy, cosine = turn(p, side);
    if (inward)
        p->dx = dx, p->dy = dy;
    else if (glass[side] == 0)
        bounce(p, diffuse[side], side, WALLS);
    else if (unit() >= wall_air(glass[side], cosine))
        end(p, WALLS);
}

/* fly takes a photon through air to the level face below or above it; 0 where something else has dealt with it. */
static int fly(photon *p, double low, double high) {
    double level = p->dz > 0 ? high : low, s = p->dz == 0 || level == DBL_MAX ? DBL_MAX : (level - p->z) / p->dz, t;
    int side = NOTHING, far;
    if ((t = plane(p->x, p->dx, length, &far)) < s) s = t, side = LEFT + far;
    if ((t = plane(p->y, p->dy, width, &far)) < s) s = t, side = FRONT + far;
    if (ndry > 0 && first_box(dry, ndry, p) < s) {
        end(p, OBSTACLES);
        return 0;
    }
    if (s == DBL_MAX || ++p->flights > 20000) {
        gone(p);
        return 0;
    }
    p->x += p->dx * s, p->y += p->dy * s;
    if (side == NOTHING) {
        p->z = level;
        return 1;
    }
    p->z += p->dz * s;
    wall_dry(p, side);
    return 0;
}

static void pane(const photon *p, double cos_air, double lumens[2], double micro[2]) {
    double r = face(cover_index, cos_air, p->parallel), slant = 1 / sqrt(1 - (1 - cos_air * cos_air) / (cover_index * cover_index));
    plate(r, exp(-p->c->pane_lumens * slant), &lumens[0], &lumens[1]);
    plate(r, exp(-p->c->pane_photons * slant), &micro[0], &micro[1]);
}

/* shift moves a photon sideways along one axis inside the cover. */
static void shift(photon *p, double *at, double to, double far, int low) {
    int was = *at >= 0 && *at <= far, is = to >= 0 && to <= far;
    *at = to;
    if (was == is) return;
    if (is) {
        if (p->z < rim) gone(p);
        return;
    }
    int side = to > far ? low + 1 : low;
    wall_dry(p, side);
    if (p->in == UNDER && glass[side] != 0) *at = to > far ? 2 * far - to : -to;
}

static void cover_from_above(photon *p) {
    double lumens[2], micro[2];
    pane(p, -p->dz, lumens, micro);
    if (unit() >= lumens[0]) {
        end(p, COVER);
        return;
    }
    p->micro *= micro[0] / lumens[0];
    p->z = cover_bottom, p->in = UNDER;
    double by = cover_thick / sqrt(cover_index * cover_index - (1 - p->dz * p->dz)), to_y = p->y + p->dy * by;
    shift(p, &p->x, p->x + p->dx * by, length, LEFT);
    if (p->in == UNDER) shift(p, &p->y, to_y, width, FRONT);
}

static void cover_from_below(photon *p) {
    double lumens[2], micro[2], u = unit();
    pane(p, p->dz, lumens, micro);
    if (u < lumens[1])
        p->micro *= micro[1] / lumens[1], p->dz = -p->dz;
    else if (u < lumens[1] + lumens[0])
        gone(p);
    else
        end(p, COVER);
}

static void surface_from_above(photon *p) {
    if (p->x < 0 || p->x > length || p->y < 0 || p->y > width) {
        gone(p);
        return;
    }
    p->met = 1;
    if (unit() < face(water, -p->dz, p->parallel)) {
        p->dz = -p->dz;
        return;
    }
    p->dx /= water, p->dy /= water;
    p->dz = -sqrt(1 - (p->dx * p->dx + p->dy * p->dy));
    p->in = WET, p->entered = 1;
    draw_free(p);
}

static void surface_from_below(photon *p) {
    double out2 = 1 - water * water * (1 - p->dz * p->dz);
    p->z = depth;
    if (out2 > 0) {
        double out = sqrt(out2);
        p->parallel = bits() & 1;
        if (unit() >= face(water, out, p->parallel)) {
            p->dx *= water, p->dy *= water, p->dz = out, p->in = UNDER;
            return;
        }
    }
    p->dz = -p->dz;
}

/* scatter turns a photon at a molecule (1 + bend cos^2) or a particle (Henyey and Greenstein). */
static void scatter(photon *p) {
    double cosine, g = asymmetry, s, c;
    if (p->c->molecular > 0 && unit() < p->c->molecular) {
        p->micro *= p->c->by_molecule;
        do
            cosine = 2 * unit() - 1;
        while (unit() * (1 + bend) >= 1 + bend * cosine * cosine);
    } else {
        p->micro *= p->c->by_particle;
        double k = (1 - g * g) / (1 - g + 2 * g * unit());
        cosine = fmin(1, fmax(-1, (1 + g * g - k * k) / (2 * g)));
    }
    double sine = sqrt(fmax(0, 1 - cosine * cosine));
    sincos(2 * M_PI * unit(), &s, &c);
    double a = sine * c, b = sine * s, dx = p->dx, dy = p->dy, dz = p->dz, side2 = dx * dx + dy * dy;
    if (side2 < 1e-12) {
        p->dx = a, p->dy = dz < 0 ? -b : b, p->dz = dz < 0 ? -cosine : cosine;
    } else {
        double side = sqrt(side2), k = a / side;
        double x = dx * cosine + k * dx * dz - b * dy / side, y = dy * cosine + k * dy * dz + b * dx / side, z = dz * cosine - a * side;
        double f = 1.5 - 0.5 * (x * x + y * y + z * z);
        p->dx = x * f, p->dy = y * f, p->dz = z * f;
    }
    draw_free(p);
}

/* score counts the planes that a photon on its way down crosses on the next s metres. */
static inline void score(const photon *p, double s) {
    double low = p->z + p->dz * s;
    for (int i = 0; i < nsheets; i++) {
        const sheet *h = &sheets[i];
        if (h->height > p->z || h->height <= low) continue;
        double way = (h->height - p->z) / p->dz, path = p->path + way;
        int ix = (p->x + p->dx * way) * h->per_x, iy = (p->y + p->dy * way) * h->per_y;
        ix = ix < 0 ? 0 : ix >= h->nx ? h->nx - 1 : ix;
        iy = iy < 0 ? 0 : iy >= h->ny ? h->ny - 1 : iy;
        light *cell = &cells[h->from + iy * h->nx + ix];
        cell->lux += p->w * exp(-p->c->absorb * path);
        cell->ppfd += p->w * p->micro * exp(-p->c->photons * path);
    }
}

static inline double gap(double at, double d, double far) { return d > 0 ? (far - at) / d : d < 0 ? -at / d : DBL_MAX; }

static void wall_wet(photon *p, int side) {
    double cosine = turn(p, side);
    if (glass[side] == 0) {
        bounce(p, diffuse[side], side, WALLS);
        return;
    }
    double kept = wall_water(glass[side], cosine);
    if (kept < 1 && unit() >= kept) end(p, WALLS);
}

/* swim follows a photon under water to the next event. */
static void swim(photon *p) {
    double s = p->dz > 0 ? (depth - p->z) / p->dz : p->dz < 0 ? -p->z / p->dz : DBL_MAX, t;
    int what = p->dz < 0 ? GROUND : TOP;
    if ((t = gap(p->x, p->dx, length)) < s) s = t, what = p->dx < 0 ? LEFT : RIGHT;
    if ((t = gap(p->y, p->dy, width)) < s) s = t, what = p->dy < 0 ? FRONT : BACK;
    if (p->way_free < s) s = p->way_free, what = PARTICLE;
    if (nwet > 0 && (t = first_box(wet, nwet, p)) < s) s = t, what = BOX;
    if (p->dz < 0) score(p, s);
    p->x += p->dx * s, p->y += p->dy * s, p->z += p->dz * s;
    p->path += s, p->way_free -= s;
    switch (what) {
    case TOP: surface_from_below(p); break;
    case GROUND: p->z = 0; bounce(p, ground, GROUND, FLOOR); break;
    case PARTICLE: scatter(p); break;
    case BOX: end(p, OBSTACLES); break;
    default: wall_wet(p, what);
    }
    if (p->in == ENDED) return;
    if (p->path > p->thin_after) { /* every other photon is ended, the others count twice */
        if (bits() & 1) {
            end(p, WATER);
            return;
        }
        books[WATER] -= p->w;
        p->w *= 2;
        p->thin_after += M_LN2 / fmax(p->c->absorb, 1e-9);
    }
    if (++p->flights > 20000) end(p, WATER);
}

static void history(const lamp *l) {
    photon p = {.x = l->x, .y = l->y, .z = l->z, .w = 1, .in = cover_thick > 0 ? ABOVE : UNDER};
    double u = unit() * nlens, s, c;
    int i = u;
    double cosine = lens[i] + (u - i) * (lens[i + 1] - lens[i]), sine = sqrt(fmax(0, 1 - cosine * cosine));
    sincos(2 * M_PI * unit(), &s, &c);
    p.dx = sine * c, p.dy = sine * s, p.dz = -cosine;
    if (p.dz > -1e-6) {
        end(&p, SPILL);
        return;
    }
    p.c = &colours[bits() % ncolours];
    p.micro = p.c->micro_per_lumen, p.thin_after = 2.3 / fmax(p.c->absorb, 1e-9);
    p.parallel = bits() & 1;
    while (p.in != ENDED) {
        if (p.in == WET)
            swim(&p);
        else if (p.in == ABOVE) {
            if (fly(&p, cover_top, DBL_MAX)) cover_from_above(&p);
        } else if (fly(&p, depth, cover_thick > 0 ? cover_bottom : DBL_MAX)) {
            if (p.dz < 0)
                surface_from_above(&p);
            else
                cover_from_below(&p);
        }
    }
}

/* batch plays batch_size histories, dealt out evenly to lamps of equal flux, and adds up what landed, and its squares. */
static void batch(int number) {
    memset(cells, 0, sizeof(light) * ncells);
    for (int k = 0; k < batch_size; k++) {
        seed((uint64_t)number * batch_size + k);
        int at = (k + unit()) * nlamps / batch_size;
        history(&lamps[at < nlamps ? at : nlamps - 1]);
    }
    for (int i = 0; i < ncells; i++) {
        light v = cells[i];
        sums[i].lux += v.lux, sums[i].ppfd += v.ppfd;
        squares[i].lux += v.lux * v.lux, squares[i].ppfd += v.ppfd * v.ppfd;
    }
}

static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return t.tv_sec + 1e-9 * t.tv_nsec;
}

int main(int argc, char **argv) {
    if (argc != 3) return 1;
    read_world();
    int n = atoi(argv[2]);
    if (strcmp(argv[1], "sum") == 0) {
        for (int i = 0; i < n; i++) batch(i);
        fwrite(sums, sizeof(light), ncells, stdout);
        fwrite(books, sizeof(double), ENTRIES, stdout);
        return 0;
    }
    double best = 1e9;
    for (int i = 0; i < n; i++) {
        double start = now();
        batch(0);
        double took = now() - start;
        if (took < best) best = took;
    }
    printf("%.9g\n", best);
    return 0;
}
