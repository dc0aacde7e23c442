// Runs a command, its output thrown away, and prints the most memory that it held, in KiB. Small, because a
// process begins with the peak of the one that starts it.
//
// usage: peak PROGRAM [ARGUMENT...]     ends as the command ends
#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const pid_t child = fork();
  if (child == 0) {
    const int nowhere = open("/dev/null", O_WRONLY | O_CLOEXEC);
    if (nowhere < 0 || dup2(nowhere, STDOUT_FILENO) < 0) _exit(127);
    execv(argv[1], argv + 1);
    _exit(127);
  }
  int status = -1;
  struct rusage used {};
  if (child < 0 || wait4(child, &status, 0, &used) != child || !WIFEXITED(status)) return 2;
  std::printf("%ld\n", used.ru_maxrss);
  return WEXITSTATUS(status);
}
