/* Lists as CSV after RFC 4180: commas, CRLF, quotes only where they are needed. */
#ifndef SHEETS_CSV_H
#define SHEETS_CSV_H

#include "base/print.h"

void csv_row(sink *out, int n, const char *const *cells);

#endif
