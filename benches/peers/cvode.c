/* The weld cycle with SUNDIALS CVODE: circuit, pip and plunge with root finding (Adams or BDF), then the heat of both
 * faces by the enthalpy method of lines (BDF, banded Newton matrix given in closed form).
 *
 * usage: cvode NUMBERS adams|bdf RTOL HEAT_RTOL HEAT_ATOL SHOTS      prints JSON: figures, seconds of each shot
 *
 * Only the solves are timed. Solvers are made once and started again with CVodeReInit. */
#include <cvode/cvode.h>
#include <math.h>
#include <nvector/nvector_serial.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sunlinsol/sunlinsol_band.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_band.h>
#include <sunmatrix/sunmatrix_dense.h>
#include <sunnonlinsol/sunnonlinsol_fixedpoint.h>
#include <time.h>

enum { MAX_CELLS = 4096, MAX_KNOTS = 100000 };
enum { U, I1, I2, H, GAP, W, ARC, STATES };
enum { STILL, SINKING, BURNING, SHORTED };

static double num(const char *name, int at); /* a number of the file */

static struct {
    double u0, C, esr, diode, least, drop, Rs, R[4], Linv[4], vol, sink, mp, hsol, Lf, hburst, rho20, rhom, rhol, p, strength,
        spot2, melting, blow, rim, mass, rate, gap0, gap_down, push, yield, arc_v, field, arc_r, brief, share[2], density,
        solid, molten, boil;
} P;
static double to_faces; /* share of the arc's heat */
static int phase, diode_on;

static double resistivity(double h) {
    double x = h / P.hsol;
    if (x < 1) return P.rho20 + (P.rhom - P.rho20) * (1 - pow(1 - x, P.p));
    return P.rhom + (P.rhol - P.rhom) * fmin(1, (h - P.hsol) / P.Lf);
}

/* Column resistance, whole resistance, what holds the pip (crushing and blow-off). */
static void pip(const double *y, double *column, double *whole, double *holds) {
    double length = fmax(y[GAP] + P.sink, 1e-9), soft = fmin(1, fmax(0, 1 - y[H] / P.hsol));
    double rho = resistivity(y[H]), b = sqrt(P.vol / (M_PI * length)), a = b, i = y[I1] + y[I2], free = 0;
    if (soft > 0) { /* above the melting voltage the spot is wider */
        a = fmin(b, sqrt(P.spot2 / soft)), free = 1 - a / b;
        a = fmin(b, fmax(a, i * (rho * free * sqrt(free) + P.rho20) / P.melting)), free = 1 - a / b;
    }
    *column = rho * length * length / P.vol;
    *whole = *column + (rho * free * sqrt(free) + P.rho20) / (4 * a);
    *holds = P.strength * soft * P.vol / length + P.blow * i * i * fmax(0, log(P.rim / a));
}

static double spring(const double *y) { return P.push - P.rate * (P.gap0 - y[GAP]); }
static double arc_volt(const double *y) { return P.arc_v + P.field * y[GAP] + P.arc_r * (y[I1] + y[I2]); }

static double bank_share(const double *y) { return (y[U] + P.diode) / P.esr; } /* while the diode conducts */

static int slopes(realtype t, N_Vector yv, N_Vector dv, void *user) {
    (void)t, (void)user;
    const double *y = N_VGetArrayPointer(yv);
    double *d = N_VGetArrayPointer(dv), i = y[I1] + y[I2], volt, force = 0;
    memset(d, 0, STATES * sizeof *d);
    if (phase <= SINKING) {
        double column, whole, holds;
        pip(y, &column, &whole, &holds);
        volt = whole * i;
        d[H] = i * i * column / P.mp;
        force = spring(y) - holds;
    } else if (phase == BURNING) {
        volt = arc_volt(y);
        d[ARC] = volt * i;
        force = spring(y);
    } else
        volt = P.brief * i;
    if (phase == SINKING || phase == BURNING) d[GAP] = -y[W], d[W] = force / P.mass;
    double e = (diode_on ? -P.diode : y[U] - P.esr * i) - P.drop - P.Rs * i - volt;
    double f1 = e - P.R[0] * y[I1] - P.R[1] * y[I2], f2 = e - P.R[2] * y[I1] - P.R[3] * y[I2];
    d[U] = -(diode_on ? bank_share(y) : i) / P.C;
    d[I1] = P.Linv[0] * f1 + P.Linv[1] * f2;
    d[I2] = P.Linv[2] * f1 + P.Linv[3] * f2;
    return 0;
}

static int guards(realtype t, N_Vector yv, realtype *g, void *user) {
    (void)t, (void)user;
    const double *y = N_VGetArrayPointer(yv);
    g[0] = y[I1] + y[I2];
    double share = bank_share(y); /* once it is small, only the current's end is left */
    g[1] = !diode_on ? P.esr * (share - g[0]) : share > P.least ? g[0] - share : 1;
    g[2] = phase <= SINKING ? P.hburst - y[H] : 1;
    g[3] = phase == SHORTED ? 1 : y[GAP] - P.gap_down;
    g[4] = 1;
    if (phase == STILL) {
        double column, whole, holds;
        pip(y, &column, &whole, &holds);
        g[4] = holds + P.yield - spring(y);
    }
    return 0;
}

static void need(int flag, const char *what) {
    if (flag < 0) fprintf(stderr, "cvode: %s failed with %d\n", what, flag), exit(1);
}

/* Arc energy over time: knots, cubic between them. */
static struct { double t, energy, power; } knots[MAX_KNOTS];
static int n_knots;
static void knot(double t, const double *y) {
    if (n_knots && t <= knots[n_knots - 1].t) n_knots--;
    if (n_knots == MAX_KNOTS) need(-1, "list of knots");
    knots[n_knots].t = t, knots[n_knots].energy = y[ARC], knots[n_knots].power = arc_volt(y) * (y[I1] + y[I2]);
    n_knots++;
}
static double arc_power(double t) {
    static int k;
    if (k > n_knots - 2) k = 0;
    while (k > 0 && t < knots[k].t) k--;
    while (k < n_knots - 2 && t > knots[k + 1].t) k++;
    double step = knots[k + 1].t - knots[k].t, s = (t - knots[k].t) / step;
    double mean = (knots[k + 1].energy - knots[k].energy) / step;
    return 6 * s * (1 - s) * mean + (1 - s) * (1 - 3 * s) * knots[k].power - s * (2 - 3 * s) * knots[k + 1].power;
}

static struct { double yields, ignition, touchdown, current_end, arc_energy, freeze, melt[2], vapour; } out;
static long steps_march, steps_heat, rates_march, rates_heat;

static void march(void *cv, N_Vector yv) {
    double *y = N_VGetArrayPointer(yv), t = 0;
    memset(y, 0, STATES * sizeof *y);
    y[U] = P.u0, y[GAP] = P.gap0, phase = STILL, diode_on = 0, n_knots = 0, steps_march = rates_march = 0;
    for (;;) {
        need(CVodeReInit(cv, t, yv), "restart");
        int flag, found[5];
        do {
            need(flag = CVode(cv, t + 0.2, yv, &t, CV_ONE_STEP), "march");
            if (phase == BURNING) knot(t, y);
            if (y[W] < 0) need(-1, "a stud that never comes to rest");
        } while (flag != CV_ROOT_RETURN);
        long n, r;
        CVodeGetNumSteps(cv, &n), CVodeGetNumRhsEvals(cv, &r), steps_march += n, rates_march += r;
        CVodeGetRootInfo(cv, found);
        if (found[0] && y[U] < 0.99 * P.u0) {
            out.current_end = t;
            return;
        } else if (found[1]) diode_on = !diode_on;
        else if (found[2]) out.ignition = t, phase = BURNING, knot(t, y);
        else if (found[3] && phase == BURNING) out.touchdown = t, out.arc_energy = y[ARC], phase = SHORTED;
        else if (found[3]) need(-1, "ignition before the pip is crushed");
        else if (found[4]) out.yields = t, phase = SINKING;
    }
}

/* Heat: enthalpies, stud back ... stud face | sheet face ... sheet back; Kirchhoff's potential drives the flux. */
static int n_stud, cells, joined, heated;
static double dx[MAX_CELLS], inv_mass[MAX_CELLS], border[MAX_CELLS], potential[MAX_CELLS], q[MAX_CELLS], hliq;

static void conduction(const double *h) {
    for (int j = 0; j < cells; j++)
        potential[j] = P.solid * (h[j] < P.hsol ? h[j] : P.hsol) + P.molten * (h[j] > hliq ? h[j] : hliq);
    for (int j = 0; j < cells - 1; j++) q[j] = (potential[j] - potential[j + 1]) * border[j];
    if (!joined) q[n_stud - 1] = 0;
}

/* The most that a face conducts without boiling. */
static double boiling(int j) { return (P.boil - potential[j]) * 2 / dx[j]; }

static int warm(realtype t, N_Vector hv, N_Vector dv, void *user) {
    (void)user;
    const double *h = N_VGetArrayPointer(hv);
    double *d = N_VGetArrayPointer(dv);
    conduction(h);
    d[0] = -q[0] * inv_mass[0];
    for (int j = 1; j < cells - 1; j++) d[j] = (q[j - 1] - q[j]) * inv_mass[j];
    d[cells - 1] = q[cells - 2] * inv_mass[cells - 1];
    if (heated) {
        double power = arc_power(t);
        for (int face = 0; face < 2; face++) {
            int j = n_stud - 1 + face;
            d[j] += fmin(P.share[face] * power, boiling(j)) * inv_mass[j];
        }
    }
    return 0;
}

static int warm_jacobian(realtype t, N_Vector hv, N_Vector fv, SUNMatrix J, void *user, N_Vector a, N_Vector b, N_Vector c) {
    (void)fv, (void)user, (void)a, (void)b, (void)c;
    const double *h = N_VGetArrayPointer(hv);
    conduction(h);
    double power = heated ? arc_power(t) : 0;
    for (int j = 0; j < cells; j++) {
        double *column = SM_COLUMN_B(J, j), slope = h[j] < P.hsol ? P.solid : h[j] > hliq ? P.molten : 0;
        double left = j > 0 && (joined || j != n_stud) ? border[j - 1] : 0;
        double right = j < cells - 1 && (joined || j != n_stud - 1) ? border[j] : 0, face = 0;
        if (heated && (j == n_stud - 1 || j == n_stud))
            face = P.share[j - n_stud + 1] * power > boiling(j) ? 2 / dx[j] : 0;
        SM_COLUMN_ELEMENT_B(column, j, j) = -slope * (left + right + face) * inv_mass[j];
        if (j > 0) SM_COLUMN_ELEMENT_B(column, j - 1, j) = slope * left * inv_mass[j - 1];
        if (j < cells - 1) SM_COLUMN_ELEMENT_B(column, j + 1, j) = slope * right * inv_mass[j + 1];
    }
    return 0;
}

static int molten(realtype t, N_Vector hv, realtype *g, void *user) {
    (void)t, (void)user;
    const double *h = N_VGetArrayPointer(hv);
    double most = 0;
    for (int j = 0; j < cells; j++) most = most > h[j] ? most : h[j];
    g[0] = joined ? most - P.hsol : 1;
    return 0;
}

/* Melt depth of a face: the mean of latent shares and T_m isotherm, as in tests/reference/heat.py. */
static double melt(const double *h, int face) {
    int step = face ? 1 : -1, first = n_stud - 1 + face, n = face ? cells - n_stud : n_stud, last = -1;
    double depth = 0;
    for (int k = 0; k < n; k++) {
        int j = first + step * k;
        double share = fmin(1, fmax(0, (h[j] - P.hsol) / P.Lf));
        depth += share * dx[j];
        if (share > 0) last = k;
    }
    if (last >= 0 && last + 1 < n) {
        int j = first + step * last, next = j + step;
        double share = fmin(1, fmax(0, (h[j] - P.hsol) / P.Lf));
        if (share < 1) depth += 0.5 * (0.5 - share) * dx[j];
        else {
            double above = P.molten * (h[j] - hliq), below = P.solid * (P.hsol - h[next]);
            depth += 0.25 * ((dx[j] + dx[next]) * above / (above + below) - dx[j]);
        }
    }
    return depth;
}

static void count(void *cv) {
    long n, r;
    CVodeGetNumSteps(cv, &n), CVodeGetNumRhsEvals(cv, &r), steps_heat += n, rates_heat += r;
}

static void heat(void *cv, N_Vector hv) {
    double *h = N_VGetArrayPointer(hv), t = out.ignition, held = 0;
    memset(h, 0, cells * sizeof *h);
    joined = 0, heated = 1, steps_heat = rates_heat = 0;
    need(CVodeReInit(cv, t, hv), "restart");
    need(CVodeSetStopTime(cv, out.touchdown), "stop");
    need(CVode(cv, out.touchdown, hv, &t, CV_NORMAL), "heating");
    count(cv);
    out.melt[0] = melt(h, 0), out.melt[1] = melt(h, 1);
    for (int j = 0; j < cells; j++) held += h[j] / inv_mass[j];
    out.vapour = to_faces * (1 - held / ((P.share[0] + P.share[1]) * out.arc_energy)); /* what the faces did not take */
    joined = 1, heated = 0;
    need(CVodeReInit(cv, t, hv), "restart");
    need(CVodeSetStopTime(cv, t + 1), "stop");
    int flag;
    need(flag = CVode(cv, t + 0.5, hv, &out.freeze, CV_NORMAL), "freezing");
    if (flag != CV_ROOT_RETURN) need(-1, "freezing");
    count(cv);
}

static struct { char name[32]; int n; double *value; } file[128];
static int lines;
static double num(const char *name, int at) {
    for (int k = 0; k < lines; k++)
        if (!strcmp(file[k].name, name) && at < file[k].n) return file[k].value[at];
    return fprintf(stderr, "cvode: no number %s[%d]\n", name, at), exit(1), 0;
}

static void take(const char *path) {
    FILE *in = fopen(path, "r");
    if (!in) fprintf(stderr, "cvode: cannot read %s\n", path), exit(1);
    static char line[1 << 18];
    while (fgets(line, sizeof line, in)) {
        char *at = line, *end;
        int used = 0;
        sscanf(line, "%31s%n", file[lines].name, &used);
        at += used;
        file[lines].value = malloc(MAX_CELLS * sizeof(double));
        for (double v = strtod(at, &end); end != at && file[lines].n < MAX_CELLS; v = strtod(at, &end))
            file[lines].value[file[lines].n++] = v, at = end;
        lines++;
    }
    fclose(in);
#define ONE(x) P.x = num(#x, 0);
    ONE(u0) ONE(C) ONE(esr) ONE(diode) ONE(least) ONE(drop) ONE(Rs) ONE(vol) ONE(sink) ONE(mp) ONE(hsol) ONE(Lf) ONE(hburst)
    ONE(rho20) ONE(rhom) ONE(rhol) ONE(p) ONE(strength) ONE(spot2) ONE(melting) ONE(blow) ONE(rim) ONE(mass) ONE(rate)
    ONE(gap0) ONE(gap_down) ONE(push) ONE(yield) ONE(arc_v) ONE(field) ONE(arc_r) ONE(density) ONE(solid) ONE(molten) ONE(boil)
    P.brief = num("short", 0), to_faces = num("to_faces", 0), hliq = P.hsol + P.Lf;
    for (int k = 0; k < 2; k++) P.share[k] = num("share", k);
    for (int k = 0; k < 4; k++) P.R[k] = num("R", k), P.Linv[k] = num("Linv", k);
    n_stud = num("cells", 0), cells = n_stud + num("cells", 1);
    if (cells > MAX_CELLS) fprintf(stderr, "cvode: too many cells\n"), exit(1);
    for (int j = 0; j < cells; j++) dx[j] = num("dx", j), inv_mass[j] = 1 / (P.density * dx[j]);
    for (int j = 0; j < cells - 1; j++) border[j] = 2 / (dx[j] + dx[j + 1]);
}

/* Processor time: other work on the machine does not count. */
static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return t.tv_sec + 1e-9 * t.tv_nsec;
}

int main(int argc, char **argv) {
    if (argc != 7) return fprintf(stderr, "usage: cvode NUMBERS adams|bdf RTOL HEAT_RTOL HEAT_ATOL SHOTS\n"), 2;
    take(argv[1]);
    int adams = !strcmp(argv[2], "adams"), shots = atoi(argv[6]);
    double rtol = atof(argv[3]), scale[STATES] = {1, 10, 10, 1e4, 1e-5, 1e-2, 1e-1};
    SUNContext context;
    SUNContext_Create(NULL, &context);

    N_Vector y = N_VNew_Serial(STATES, context), atol = N_VNew_Serial(STATES, context);
    for (int k = 0; k < STATES; k++) NV_Ith_S(atol, k) = scale[k] * rtol * 10;
    void *march_cv = CVodeCreate(adams ? CV_ADAMS : CV_BDF, context);
    need(CVodeInit(march_cv, slopes, 0, y), "init");
    need(CVodeSVtolerances(march_cv, rtol, atol), "tolerances");
    need(CVodeRootInit(march_cv, 5, guards), "roots");
    int down[5] = {-1, -1, -1, -1, -1};
    CVodeSetRootDirection(march_cv, down);
    CVodeSetNoInactiveRootWarn(march_cv);
    CVodeSetMaxNumSteps(march_cv, 1000000);
    if (adams) need(CVodeSetNonlinearSolver(march_cv, SUNNonlinSol_FixedPoint(y, 0, context)), "fixed point");
    else {
        SUNMatrix J = SUNDenseMatrix(STATES, STATES, context);
        need(CVodeSetLinearSolver(march_cv, SUNLinSol_Dense(y, J, context), J), "linear solver");
    }

    N_Vector h = N_VNew_Serial(cells, context);
    void *heat_cv = CVodeCreate(CV_BDF, context);
    need(CVodeInit(heat_cv, warm, 0, h), "init");
    need(CVodeSStolerances(heat_cv, atof(argv[4]), atof(argv[5])), "tolerances");
    SUNMatrix J = SUNBandMatrix(cells, 1, 1, context);
    need(CVodeSetLinearSolver(heat_cv, SUNLinSol_Band(h, J, context), J), "linear solver");
    need(CVodeSetJacFn(heat_cv, warm_jacobian), "jacobian");
    need(CVodeRootInit(heat_cv, 1, molten), "roots");
    CVodeSetRootDirection(heat_cv, down);
    CVodeSetNoInactiveRootWarn(heat_cv);
    CVodeSetMaxNumSteps(heat_cv, 1000000);

    double *march_s = malloc(sizeof(double) * (shots + 1)), *heat_s = malloc(sizeof(double) * (shots + 1));
    for (int k = 0; k <= shots; k++) { /* the first warms up */
        double a = now();
        march(march_cv, y);
        double b = now();
        heat(heat_cv, h);
        double c = now();
        march_s[k] = b - a, heat_s[k] = c - b;
    }
    printf("{\"touchdown_s\":%.17g,\"current_end_s\":%.17g,\"arc_energy_J\":%.17g,\"melt_stud_m\":%.17g,\"melt_sheet_m\":%.17g,"
           "\"freeze_s\":%.17g,\"vapour_share\":%.17g,\"ignition_s\":%.17g,\"steps\":[%ld,%ld],\"rates\":[%ld,%ld],\"cells\":%d",
           out.touchdown, out.current_end, out.arc_energy, out.melt[0], out.melt[1], out.freeze,
           out.vapour, out.ignition, steps_march, steps_heat, rates_march,
           rates_heat, cells);
    printf(",\"march_s\":[");
    for (int k = 1; k <= shots; k++) printf("%s%.9g", k > 1 ? "," : "", march_s[k]);
    printf("],\"heat_s\":[");
    for (int k = 1; k <= shots; k++) printf("%s%.9g", k > 1 ? "," : "", heat_s[k]);
    printf("]}\n");
    return 0;
}
