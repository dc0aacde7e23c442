// The floor of whoever reads a schedule: the YAML library's walk through it, nothing done at any event.
#pragma once

#include <yaml-cpp/eventhandler.h>
#include <yaml-cpp/parser.h>

#include <sstream>
#include <string>

namespace bench {

struct IgnoreYaml : YAML::EventHandler {
  std::size_t events = 0;
  void OnDocumentStart(const YAML::Mark&) override { ++events; }
  void OnDocumentEnd() override { ++events; }
  void OnNull(const YAML::Mark&, YAML::anchor_t) override { ++events; }
  void OnAlias(const YAML::Mark&, YAML::anchor_t) override { ++events; }
  void OnScalar(const YAML::Mark&, const std::string&, YAML::anchor_t, const std::string&) override {
    ++events;
  }
  void OnSequenceStart(const YAML::Mark&, const std::string&, YAML::anchor_t,
                       YAML::EmitterStyle::value) override {
    ++events;
  }
  void OnSequenceEnd() override { ++events; }
  void OnMapStart(const YAML::Mark&, const std::string&, YAML::anchor_t, YAML::EmitterStyle::value) override {
    ++events;
  }
  void OnMapEnd() override { ++events; }
};

inline double walk_yaml(const std::string& text) {
  std::istringstream in(text);
  YAML::Parser parser(in);
  IgnoreYaml handler;
  while (parser.HandleNextDocument(handler)) {
  }
  return static_cast<double>(handler.events);
}

}  // namespace bench
