#include "cli/guide_input.h"

#include <clampbook/schedule/wrench_line.h>

#include <poll.h>
#include <time.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <csignal>
#include <iterator>

namespace clampbook::cli {

namespace {

constexpr std::size_t kLongestTyped = 4096;  // what a terminal hands over at most
constexpr long kLookAgain = 25'000'000;      // ns: for a file that grows, and a device that is away

volatile std::sig_atomic_t interrupted = 0;

void on_interrupt(int) {
  interrupted = 1;
}

// Ctrl-C is let through only while the guide waits, so that it never meets a write.
sigset_t only_interrupt() {
  sigset_t set;
  sigemptyset(&set);
  sigaddset(&set, SIGINT);
  return set;
}

}  // namespace

GuideInput::GuideInput(std::optional<WrenchSource> source)
    : typed_(kLongestTyped), wrench_(schedule::kLongestWrenchLine) {
  if (source && source->kind != WrenchSource::Kind::standard_input) port_.emplace(*std::move(source));
  interrupted = 0;
  struct sigaction action {};
  action.sa_handler = on_interrupt;
  sigemptyset(&action.sa_mask);
  ::sigaction(SIGINT, &action, nullptr);
  const sigset_t set = only_interrupt();
  ::sigprocmask(SIG_BLOCK, &set, nullptr);
}

GuideInput::~GuideInput() {
  ::signal(SIGINT, SIG_DFL);
  const sigset_t set = only_interrupt();
  ::sigprocmask(SIG_UNBLOCK, &set, nullptr);
}

void GuideInput::read_typed() {
  std::array<char, 4096> bytes{};
  const ssize_t got = ::read(STDIN_FILENO, bytes.data(), bytes.size());
  if (got > 0) typed_.feed({bytes.data(), static_cast<std::size_t>(got)});
  if (got < 0 && (errno == EINTR || errno == EAGAIN)) return;
  while (auto line = typed_.take())
    told_.push_back({Happening::Kind::typed, std::move(line->text), line->too_long});
  if (got > 0) return;
  if (auto rest = typed_.take_rest())
    told_.push_back({Happening::Kind::typed, std::move(rest->text), rest->too_long});
  if (port_) read_wrench();  // what the wrench has sent before the end counts
  told_.push_back({Happening::Kind::end});
  ended_ = true;
}

void GuideInput::read_wrench() {
  const WrenchPort::State state = port_->read(wrench_);
  while (auto line = wrench_.take())
    told_.push_back({Happening::Kind::wrench, std::move(line->text), line->too_long});
  if (state == WrenchPort::State::back) told_.push_back({Happening::Kind::wrench_back});
  if (state != WrenchPort::State::gone) return;
  if (auto rest = wrench_.take_rest())
    told_.push_back({Happening::Kind::wrench, std::move(rest->text), rest->too_long, true});
  told_.push_back({Happening::Kind::wrench_gone});
}

void GuideInput::wait() {
  std::array<struct pollfd, 2> fds{{{STDIN_FILENO, POLLIN, 0}, {-1, POLLIN, 0}}};
  if (port_) fds[1].fd = port_->descriptor();
  const struct timespec soon { 0, kLookAgain };
  const bool look_again = port_ && fds[1].fd < 0;
  sigset_t mask;
  ::sigprocmask(SIG_SETMASK, nullptr, &mask);
  sigdelset(&mask, SIGINT);
  const int ready = ::ppoll(fds.data(), fds.size(), look_again ? &soon : nullptr, &mask);
  if (interrupted != 0) {
    interrupted = 0;
    told_.push_back({Happening::Kind::interrupted});
    return;
  }
  // The wrench first: what it sent was there before the answer to it was typed.
  if (port_ && (look_again || (ready > 0 && fds[1].revents != 0))) read_wrench();
  if (ready > 0 && fds[0].revents != 0) read_typed();
}

Happening GuideInput::next() {
  while (told_.empty()) {
    if (ended_) return {Happening::Kind::end};
    wait();
  }
  Happening out = std::move(told_.front());
  told_.pop_front();
  return out;
}

std::vector<Happening> GuideInput::take_lines() {
  const auto is_line = [](const Happening& h) {
    return h.kind == Happening::Kind::typed || h.kind == Happening::Kind::wrench;
  };
  std::vector<Happening> out;
  std::copy_if(told_.begin(), told_.end(), std::back_inserter(out), is_line);
  std::erase_if(told_, is_line);
  return out;
}

}  // namespace clampbook::cli
