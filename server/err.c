#include "err.h"

#include <stdarg.h>
#include <stdio.h>
#include <sysexits.h>

#include "plain.h"

enum err err_set(struct msg *why, enum err err, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    (void)vsnprintf(why->text, sizeof why->text, format, args);
    va_end(args);
    plain_line(why->text);
    return err;
}

int err_exit_code(enum err err)
{
    switch (err) {
    case ERR_NONE: return EX_OK;
    case ERR_USAGE: return EX_USAGE;
    case ERR_DATA: return EX_DATAERR;
    case ERR_NO_INPUT: return EX_NOINPUT;
    case ERR_UNAVAILABLE: return EX_UNAVAILABLE;
    case ERR_CANNOT_MAKE: return EX_CANTCREAT;
    case ERR_IO: return EX_IOERR;
    case ERR_BUSY: return EX_TEMPFAIL;
    case ERR_NEWER: return EX_CONFIG;
    }
    return EX_SOFTWARE; /* no error of the list */
}
