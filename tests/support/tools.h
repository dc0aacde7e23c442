// Tool lists for tests, from text.
#pragma once

#include <clampbook/schedule/tool_list.h>

#include <memory>
#include <string>

namespace clampbook::test {

inline schedule::ToolList tools_from(const std::string& text) {
  return schedule::read_tools(
      std::make_shared<const text::Source>("tools.yaml", "format: tool list 1\n" + text));
}

}  // namespace clampbook::test
