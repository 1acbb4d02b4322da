/* The innermost sum of package direct in plain C, to compare with: the light of many sources on the rows of a plane, lx and
 * PPFD together, each from a table over w = u/(u + apparent), u the squared distance in plan, by straight lines between its nodes.
 *
 * Standard input: doubles, in the machine's own order: nx, ny, sources, cells of the table, apparent, first x, step x,
 * first y, step y; then for each source x, y, lumens; then for each cell of the table lux, its rise, PPFD, its rise.
 * "sum LAYOUT" writes lux and PPFD of all cells; "time PASSES" writes for each layout the shortest of PASSES passes, in seconds.
 * The layouts are three ways to lay the table out; which one serves a processor best is for the measurement to say. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

typedef struct { double x, y, lumens; } source;
typedef struct { double lux, lux_rise, ppfd, ppfd_rise; } pair;

static int nx, ny, nsources, cells;
static double apparent, first_x, step_x, first_y, step_y;
static source *sources;
static pair *pairs;
static double *lux0, *lux_rise, *ppfd0, *ppfd_rise; /* the same as pairs, column by column; lux0 and ppfd0 one longer */

typedef void adder(double *restrict lux, double *restrict ppfd, double first, double fixed2, double lumens);

/* PLACE finds the cell of the table and the way f into it. */
#define PLACE                                          \
    double d = first + i * step_x, u = d * d + fixed2; \
    double w = u / (u + apparent) * scale;             \
    int at = (int)w;                                   \
    double f = w - at

/* Four numbers side by side for each cell of the table. */
static void add_pairs(double *restrict lux, double *restrict ppfd, double first, double fixed2, double lumens) {
    const pair *restrict t = pairs;
    const double scale = cells - 1;
    for (int i = 0; i < nx; i++) {
        PLACE;
        lux[i] += lumens * (t[at].lux + f * t[at].lux_rise);
        ppfd[i] += lumens * (t[at].ppfd + f * t[at].ppfd_rise);
    }
}

/* Four columns. */
static void add_columns(double *restrict lux, double *restrict ppfd, double first, double fixed2, double lumens) {
    const double *restrict l = lux0, *restrict lr = lux_rise, *restrict p = ppfd0, *restrict pr = ppfd_rise;
    const double scale = cells - 1;
    for (int i = 0; i < nx; i++) {
        PLACE;
        lux[i] += lumens * (l[at] + f * lr[at]);
        ppfd[i] += lumens * (p[at] + f * pr[at]);
    }
}

/* Two columns, the rise being the difference to the next. */
static void add_nodes(double *restrict lux, double *restrict ppfd, double first, double fixed2, double lumens) {
    const double *restrict l = lux0, *restrict p = ppfd0;
    const double scale = cells - 1;
    for (int i = 0; i < nx; i++) {
        PLACE;
        lux[i] += lumens * (l[at] + f * (l[at + 1] - l[at]));
        ppfd[i] += lumens * (p[at] + f * (p[at + 1] - p[at]));
    }
}

static adder *layouts[] = {add_pairs, add_columns, add_nodes};
static const char *names[] = {"pairs", "columns", "nodes"};
#define LAYOUTS 3

/* pass sums the whole plane. */
static void pass(adder *add, double *lux, double *ppfd) {
    memset(lux, 0, sizeof(double) * nx * ny);
    memset(ppfd, 0, sizeof(double) * nx * ny);
    for (int iy = 0; iy < ny; iy++)
        for (int s = 0; s < nsources; s++) {
            double dy = first_y + iy * step_y - sources[s].y;
            add(lux + iy * nx, ppfd + iy * nx, first_x - sources[s].x, dy * dy, sources[s].lumens);
        }
}

static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return t.tv_sec + 1e-9 * t.tv_nsec;
}

/* room returns space for n doubles on a border of 64 bytes. */
static double *room(size_t n) {
    double *p = aligned_alloc(64, (n * sizeof(double) + 63) / 64 * 64);
    if (!p) exit(1);
    return p;
}

static void take(double *to, size_t n) {
    if (fread(to, sizeof(double), n, stdin) != n) exit(1);
}

static void read_problem(void) {
    double head[9];
    take(head, 9);
    nx = head[0], ny = head[1], nsources = head[2], cells = head[3];
    apparent = head[4], first_x = head[5], step_x = head[6], first_y = head[7], step_y = head[8];
    sources = (source *)room(3 * nsources);
    take((double *)sources, 3 * nsources);
    pairs = (pair *)room(4 * cells);
    take((double *)pairs, 4 * cells);
    lux0 = room(cells + 1), lux_rise = room(cells), ppfd0 = room(cells + 1), ppfd_rise = room(cells);
    for (int i = 0; i < cells; i++) {
        lux0[i] = pairs[i].lux, lux_rise[i] = pairs[i].lux_rise;
        ppfd0[i] = pairs[i].ppfd, ppfd_rise[i] = pairs[i].ppfd_rise;
    }
    lux0[cells] = lux0[cells - 1], ppfd0[cells] = ppfd0[cells - 1];
}

int main(int argc, char **argv) {
    if (argc != 3) return 1;
    read_problem();
    double *lux = room((size_t)nx * ny), *ppfd = room((size_t)nx * ny);
    if (strcmp(argv[1], "sum") == 0) {
        pass(layouts[atoi(argv[2]) % LAYOUTS], lux, ppfd);
        fwrite(lux, sizeof(double), (size_t)nx * ny, stdout);
        fwrite(ppfd, sizeof(double), (size_t)nx * ny, stdout);
        return 0;
    }
    for (int l = 0; l < LAYOUTS; l++) {
        double best = 1e9;
        for (int i = 0; i < atoi(argv[2]); i++) {
            double start = now();
            pass(layouts[l], lux, ppfd);
            double took = now() - start;
            if (took < best) best = took;
        }
        printf("%s %.9g\n", names[l], best);
    }
    return 0;
}
