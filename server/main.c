/* sternboard: reads the command line, and becomes the board or does one of its commands. What goes wrong is told in one sentence
 * on standard error; the exit codes are those of err.h. */
#include <stdio.h>

#include "commands.h"
#include "err.h"
#include "one_file.h"
#include "options.h"
#include "serve.h"

static enum err run(const struct options *options, struct msg *why)
{
    const char *log = options->file ? options->file : options->data;
    switch (options->command) {
    case COMMAND_SERVE: return serve(options, why);
    case COMMAND_VERIFY: return command_verify(log, stdout, why);
    case COMMAND_DUMP: return command_dump(log, stdout, why);
    case COMMAND_SHOW: return command_show(log, options->at_seq, stdout, why);
    case COMMAND_BACKUP: return command_backup(options->data, options->file, stdout, why);
    case COMMAND_RESTORE: return command_restore(options->file, options->data, stdout, why);
    case COMMAND_DEBRIEF:
        if (options->debrief.html)
            return command_debrief_file(log, &options->debrief, embed_find(ONE_FILE_PAGE), stdout, why);
        return command_debrief(log, &options->debrief, stdout, why);
    case COMMAND_VERSION: (void)printf("sternboard %s\n", STERNBOARD_VERSION); return ERR_NONE;
    case COMMAND_HELP: (void)fputs(options_help, stdout); return ERR_NONE;
    }
    return ERR_NONE;
}

int main(int argc, char *argv[])
{
    struct options options;
    struct msg why;
    enum err err = options_read(&options, argc, argv, &why);
    if (!err)
        err = run(&options, &why);
    if (!err && fflush(stdout) != 0)
        err = err_set(&why, ERR_IO, "What was to be printed could not be written.");
    if (err)
        (void)fprintf(stderr, "sternboard: %s\n", why.text);
    return err_exit_code(err);
}
