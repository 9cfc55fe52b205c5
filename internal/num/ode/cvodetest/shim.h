#include <stdint.h>

/* run integrates from t0 to t1 and returns CVODE's last flag. y holds n components
   and is overwritten; roots are told to goRoot, which returns 1 to stop. */
int tl_cvode(uintptr_t h, int n, double t0, double t1, double *y, double rel, double *abs,
             double first, double longest, int nroots, int *dirs, int adams, double *tend,
             long *evals, long *steps, long *fails);
