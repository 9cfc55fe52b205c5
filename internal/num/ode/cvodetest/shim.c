//go:build cvode

#include "shim.h"
#include "_cgo_export.h"
#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>
#include <stdlib.h>

static int rhs(realtype t, N_Vector y, N_Vector d, void *u) {
    goSlopes((uintptr_t)u, t, N_VGetArrayPointer(y), N_VGetArrayPointer(d));
    return 0;
}

static int roots(realtype t, N_Vector y, realtype *g, void *u) {
    goEvents((uintptr_t)u, t, N_VGetArrayPointer(y), g);
    return 0;
}

int tl_cvode(uintptr_t h, int n, double t0, double t1, double *y0, double rel, double *tol,
             double first, double longest, int nroots, int *dirs, int adams, double *tend,
             long *evals, long *steps, long *fails) {
    SUNContext ctx;
    SUNContext_Create(NULL, &ctx);
    N_Vector y = N_VMake_Serial(n, y0, ctx), atol = N_VMake_Serial(n, tol, ctx);
    void *mem = CVodeCreate(adams ? CV_ADAMS : CV_BDF, ctx);
    int flag = CVodeInit(mem, rhs, t0, y);
    CVodeSetUserData(mem, (void *)h);
    CVodeSVtolerances(mem, rel, atol);
    CVodeSetMaxNumSteps(mem, 10000000);
    CVodeSetErrHandlerFn(mem, NULL, NULL);
    if (longest > 0) CVodeSetMaxStep(mem, longest);
    if (first > 0) CVodeSetInitStep(mem, first);
    SUNMatrix a = SUNDenseMatrix(n, n, ctx);
    SUNLinearSolver ls = SUNLinSol_Dense(y, a, ctx);
    CVodeSetLinearSolver(mem, ls, a);
    if (nroots > 0) {
        CVodeRootInit(mem, nroots, roots);
        CVodeSetRootDirection(mem, dirs);
        CVodeSetNoInactiveRootWarn(mem);
    }
    CVodeSetStopTime(mem, t1);
    realtype t = t0;
    int *found = calloc(nroots > 0 ? nroots : 1, sizeof(int));
    if (flag == CV_SUCCESS) {
        for (;;) {
            flag = CVode(mem, t1, y, &t, CV_NORMAL);
            if (flag != CV_ROOT_RETURN) break;
            CVodeGetRootInfo(mem, found);
            if (goRoot(h, t, N_VGetArrayPointer(y), found)) break;
        }
    }
    *tend = t;
    long lin = 0, conv = 0;
    CVodeGetNumRhsEvals(mem, evals);
    CVodeGetNumLinRhsEvals(mem, &lin);
    *evals += lin;
    CVodeGetNumSteps(mem, steps);
    CVodeGetNumErrTestFails(mem, fails);
    CVodeGetNumNonlinSolvConvFails(mem, &conv);
    *fails += conv;
    free(found);
    CVodeFree(&mem);
    SUNLinSolFree(ls);
    SUNMatDestroy(a);
    N_VDestroy(y);
    N_VDestroy(atol);
    SUNContext_Free(&ctx);
    return flag;
}
