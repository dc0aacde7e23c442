#include <clampbook/joint/assembly.h>
#include <clampbook/joint/nut_factor.h>

namespace clampbook::joint {

AssemblyFigures assembly_figures(const Thread& thread, Stress yield, const Contact& contact,
                                 double utilisation) {
  const Force preload = assembly_preload(thread, yield, contact.thread, utilisation);
  return {preload, tightening_torque(preload, thread, contact), nut_factor(thread, contact),
          torque_split(thread, contact)};
}

}  // namespace clampbook::joint
