/* Loaded before libc: lets the nth call that changes a disk fail, as a full or broken disk would.
 *
 * `fail_at(n, error, stays)` arms it: the nth such call from now on returns `error`, and every later
 * one too where `stays`. `calls_seen()` tells how many there were since; `fail_at(0, 0, 0)` disarms.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <sys/types.h>
#include <unistd.h>

static long wanted, seen;
static int code, lasting;

void fail_at(long n, int error, int stays) {
    wanted = n, code = error, lasting = stays, seen = 0;
}

long calls_seen(void) { return seen; }

static int fails(void) {
    if (!wanted) return 0;
    seen++;
    if (seen == wanted || (lasting && seen > wanted)) {
        errno = code;
        return 1;
    }
    return 0;
}

#define REAL(type, name, ...)                                   \
    static type (*real)(__VA_ARGS__);                           \
    if (!real) real = (type (*)(__VA_ARGS__))dlsym(RTLD_NEXT, #name);

ssize_t write(int fd, const void *data, size_t size) {
    REAL(ssize_t, write, int, const void *, size_t)
    return fd > 2 && fails() ? -1 : real(fd, data, size);
}

ssize_t pwrite(int fd, const void *data, size_t size, off_t at) {
    REAL(ssize_t, pwrite, int, const void *, size_t, off_t)
    return fails() ? -1 : real(fd, data, size, at);
}

ssize_t pwrite64(int fd, const void *data, size_t size, off64_t at) {
    REAL(ssize_t, pwrite64, int, const void *, size_t, off64_t)
    return fails() ? -1 : real(fd, data, size, at);
}

int fsync(int fd) {
    REAL(int, fsync, int)
    return fails() ? -1 : real(fd);
}

int fdatasync(int fd) {
    REAL(int, fdatasync, int)
    return fails() ? -1 : real(fd);
}

int ftruncate(int fd, off_t size) {
    REAL(int, ftruncate, int, off_t)
    return fails() ? -1 : real(fd, size);
}

int ftruncate64(int fd, off64_t size) {
    REAL(int, ftruncate64, int, off64_t)
    return fails() ? -1 : real(fd, size);
}

int rename(const char *from, const char *to) {
    REAL(int, rename, const char *, const char *)
    return fails() ? -1 : real(from, to);
}

int mkdir(const char *path, mode_t mode) {
    REAL(int, mkdir, const char *, mode_t)
    return fails() ? -1 : real(path, mode);
}

int open64(const char *path, int flags, ...) {
    REAL(int, open64, const char *, int, ...)
    mode_t mode = 0;
    if (flags & O_CREAT) {
        va_list rest;
        va_start(rest, flags);
        mode = va_arg(rest, mode_t);
        va_end(rest);
        if (fails()) return -1;
    }
    return real(path, flags, mode);
}
