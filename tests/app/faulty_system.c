/* Preloaded into the program, one fault a run: FAULTY_SYSTEM="kind:n".
 *   read:n    the n-th pread alone fails with EIO, as at a bad place of a disk
 *   touch:n   the file changes before the n-th pread
 *   short:n   preads and writes of at most n bytes
 *   write:n   every write to a file from the n-th on fails with ENOSPC
 *   sync:n    every fsync from the n-th on: EIO
 *   rename:n  every rename from the n-th on: EACCES
 *   create:n  every file that is made from the n-th on: EACCES
 *   clock:n   the wall clock jumps by n seconds, to and fro */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

static atomic_long calls;

static long fault(const char* kind) {
  const char* wanted = getenv("FAULTY_SYSTEM");
  const size_t n = strlen(kind);
  return wanted && strncmp(wanted, kind, n) == 0 && wanted[n] == ':' ? atol(wanted + n + 1) : 0;
}

static int due(const char* kind) {
  const long n = fault(kind);
  return n > 0 && atomic_fetch_add(&calls, 1) + 1 >= n;
}

static int exactly(const char* kind) {
  const long n = fault(kind);
  return n > 0 && atomic_fetch_add(&calls, 1) + 1 == n;
}

static size_t cut(size_t n) {
  const long most = fault("short");
  return most > 0 && n > (size_t)most ? (size_t)most : n;
}

ssize_t pread(int fd, void* into, size_t n, off_t at) {
  static ssize_t (*real)(int, void*, size_t, off_t);
  if (!real) *(void**)&real = dlsym(RTLD_NEXT, "pread");
  if (exactly("read")) return errno = EIO, -1;
  if (exactly("touch")) {
    const struct timespec times[2] = {{1000000000, fault("touch")}, {1000000000, fault("touch")}};
    futimens(fd, times);
  }
  return real(fd, into, cut(n), at);
}

ssize_t write(int fd, const void* from, size_t n) {
  static ssize_t (*real)(int, const void*, size_t);
  if (!real) *(void**)&real = dlsym(RTLD_NEXT, "write");
  if (fd > 2 && due("write")) return errno = ENOSPC, -1;
  return real(fd, from, fd > 2 ? cut(n) : n);
}

int fsync(int fd) {
  static int (*real)(int);
  if (!real) *(void**)&real = dlsym(RTLD_NEXT, "fsync");
  if (due("sync")) return errno = EIO, -1;
  return real(fd);
}

int rename(const char* from, const char* to) {
  static int (*real)(const char*, const char*);
  if (!real) *(void**)&real = dlsym(RTLD_NEXT, "rename");
  if (due("rename")) return errno = EACCES, -1;
  return real(from, to);
}

int renameat2(int from_dir, const char* from, int to_dir, const char* to, unsigned flags) {
  static int (*real)(int, const char*, int, const char*, unsigned);
  if (!real) *(void**)&real = dlsym(RTLD_NEXT, "renameat2");
  if (due("rename")) return errno = EACCES, -1;
  return real(from_dir, from, to_dir, to, flags);
}

int open(const char* path, int flags, ...) {
  static int (*real)(const char*, int, ...);
  if (!real) *(void**)&real = dlsym(RTLD_NEXT, "open");
  va_list rest;
  va_start(rest, flags);
  const mode_t mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(rest, mode_t) : 0;
  va_end(rest);
  if (flags & O_CREAT && due("create")) return errno = EACCES, -1;
  return real(path, flags, mode);
}

static time_t jump(void) {
  const long n = fault("clock");
  return n && atomic_fetch_add(&calls, 1) % 2 ? -n : n;
}

int clock_gettime(clockid_t clock, struct timespec* into) {
  static int (*real)(clockid_t, struct timespec*);
  if (!real) *(void**)&real = dlsym(RTLD_NEXT, "clock_gettime");
  const int result = real(clock, into);
  if (clock == CLOCK_REALTIME) into->tv_sec += jump();
  return result;
}

time_t time(time_t* into) {
  static time_t (*real)(time_t*);
  if (!real) *(void**)&real = dlsym(RTLD_NEXT, "time");
  const time_t now = real(NULL) + jump();
  if (into) *into = now;
  return now;
}
