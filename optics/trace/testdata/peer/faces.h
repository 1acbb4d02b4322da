/* What flat faces, glass walls and the cover return, by Fresnel's equations. */
/* Fresnel's reflectances of a face from index n1 to n2. */
static inline void fresnel(double n1, double n2, double cos1, double *rs, double *rp) {
    double k = n1 / n2, q = 1 - k * k * (1 - cos1 * cos1);
    if (q <= 0) {
        *rs = *rp = 1;
        return;
    }
    double cos2 = sqrt(q);
    double s = (n1 * cos1 - n2 * cos2) / (n1 * cos1 + n2 * cos2), p = (n2 * cos1 - n1 * cos2) / (n2 * cos1 + n1 * cos2);
    *rs = s * s, *rp = p * p;
}

static inline double face(double index, double cos_air, int parallel) {
    double s, p;
    fresnel(1, index, cos_air, &s, &p);
    return parallel ? p : s;
}

static inline double two_faces(double r1, double r2) {
    return r1 >= 1 || r2 >= 1 ? 1 : r1 + (1 - r1) * (1 - r1) * r2 / (1 - r1 * r2);
}

/* What a glass wall returns in the air, and under water, of the cosine that the ray has or would have in air. */
static inline double wall_air(double index, double cos_air) {
    double s, p;
    fresnel(1, index, cos_air, &s, &p);
    return s / (1 + s) + p / (1 + p);
}

static inline double wall_water(double index, double cos_water) {
    double out2 = 1 - water * water * (1 - cos_water * cos_water), s1, p1, s2, p2;
    if (out2 <= 0) return 1;
    fresnel(water, index, cos_water, &s1, &p1);
    fresnel(1, index, sqrt(out2), &s2, &p2);
    return (two_faces(s1, s2) + two_faces(p1, p2)) / 2;
}

/* plate sums the reflections between the faces of the cover. */
static inline void plate(double r, double tau, double *through, double *back) {
    if (r >= 1) {
        *through = 0, *back = 1;
        return;
    }
    *through = (1 - r) * (1 - r) * tau / (1 - r * r * tau * tau);
    *back = r * (1 + tau * *through);
}
