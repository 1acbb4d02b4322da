/* What trace.c knows of the tank and of light: the parts of a world, as standard input brings them, and a stream of random
 * numbers for each history. */
#include <float.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

typedef struct { double min[3], max[3]; } box;
typedef struct { double x, y, z; } lamp;
typedef struct { double height, per_x, per_y; int nx, ny, from; } sheet;
typedef struct { double lux, ppfd; } light;

/* A part of the spectrum: absorption and scattering of its lumens, what its photons lose beside that, share of the molecules,
 * weight of the photons for a scattering by molecule or particle, optical thickness of the cover, PPFD per lux. */
typedef struct {
    double absorb, scatter, photons, molecular, by_molecule, by_particle, pane_lumens, pane_photons, micro_per_lumen;
} colour;

enum { COVER, SPILL, SURFACE, WATER, WALLS, FLOOR, OBSTACLES, RETURNED, ENTRIES };
enum { LEFT, RIGHT, FRONT, BACK, GROUND, TOP, PARTICLE, BOX, NOTHING };
enum { ABOVE, UNDER, WET, ENDED };

typedef struct {
    double x, y, z, dx, dy, dz, w, micro, path, way_free, thin_after;
    const colour *c;
    int in, parallel, met, entered, flights;
} photon;

static double length, width, depth, rim, water, ground, asymmetry, bend;
static double cover_bottom, cover_top, cover_thick, cover_index;
static double diffuse[4], glass[4]; /* reflectance of a diffuse wall, index of a glass one or 0 */
static int ndry, nwet, nlamps, ncolours, nsheets, nlens, batch_size, ncells;
static box *dry, *wet;
static lamp *lamps;
static colour *colours;
static sheet *sheets;
static double *lens; /* cosines at equal shares of a lamp's flux, from 0 to 1 */

static light *cells, *sums, *squares;
static double books[ENTRIES];
static uint64_t state;

/* Steele, Lea, Flood 2014. */
static inline uint64_t bits(void) {
    uint64_t z = state += 0x9e3779b97f4a7c15u;
    z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9u;
    z = (z ^ z >> 27) * 0x94d049bb133111ebu;
    return z ^ z >> 31;
}

static inline double unit(void) { return (bits() >> 11) * 0x1p-53; }

static void seed(uint64_t photon_number) {
    state = 1;
    state = bits() ^ photon_number * 0x94d049bb133111ebu;
    state = bits();
}

static double one(void) {
    double v;
    if (fread(&v, sizeof v, 1, stdin) != 1) exit(1);
    return v;
}

/* room returns n zeroed things of a size. */
static void *room(size_t n, size_t size) {
    void *p = calloc(n ? n : 1, size);
    if (!p) exit(1);
    return p;
}

static void *take(int n, size_t size) {
    void *p = room(n, size);
    if (n && fread(p, size, n, stdin) != (size_t)n) exit(1);
    return p;
}

static void read_world(void) {
    length = one(), width = one(), depth = one(), rim = one(), water = one(), ground = one(), asymmetry = one(), bend = one();
    cover_bottom = one(), cover_top = one(), cover_thick = one(), cover_index = one();
    for (int i = 0; i < 4; i++) glass[i] = one(), diffuse[i] = one();
    ndry = one(), nwet = one(), nlamps = one(), ncolours = one(), nsheets = one(), nlens = one(), batch_size = one();
    dry = take(ndry, sizeof(box)), wet = take(nwet, sizeof(box));
    lamps = take(nlamps, sizeof(lamp)), colours = take(ncolours, sizeof(colour));
    lens = take(nlens + 1, sizeof(double));
    sheets = room(nsheets, sizeof(sheet));
    for (int i = 0; i < nsheets; i++) {
        double height = one(), per_x = one(), per_y = one();
        sheets[i] = (sheet){height, per_x, per_y, one(), 0, ncells};
        sheets[i].ny = one();
        ncells += sheets[i].nx * sheets[i].ny;
    }
    cells = room(ncells, sizeof(light)), sums = room(ncells, sizeof(light)), squares = room(ncells, sizeof(light));
}
