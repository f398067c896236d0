/* datagrams: stands in for a service manager. Binds a Unix datagram socket at the path named, and prints what comes, a line each. */
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

int main(int argc, char **argv)
{
    struct sockaddr_un at = {.sun_family = AF_UNIX};
    char words[256];
    if (argc != 2 || strlen(argv[1]) >= sizeof at.sun_path)
        return 64;
    memcpy(at.sun_path, argv[1], strlen(argv[1]));
    int fd = socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC, 0);
    if (fd < 0 || bind(fd, (const struct sockaddr *)&at, sizeof at) < 0)
        return 74;
    (void)puts("listening");
    (void)fflush(stdout);
    for (ssize_t len; (len = recv(fd, words, sizeof words, 0)) >= 0;) {
        (void)printf("%.*s\n", (int)len, words);
        (void)fflush(stdout);
    }
    return 0;
}
