"""One-line cautions that stand beside work that can hurt someone. All are common practice; local codes decide."""

CAUTIONS = {
    "mains": "Mains inside. Switch off and unplug before you reach in; fixed wiring is for a licensed electrician.",
    "lifting": "Heavy equipment: two people lift, the heaviest goes lowest, and the rack is secured against tipping.",
    "wiring": "Switch the amplifier off and wait before you touch its terminals or change the wiring.",
    "line": "A 70.7 or 100 V line can shock. Switch the amplifier off first; local codes decide who may work on it.",
    "load": "An amplifier can overheat or fail on a load that it may not drive. Don't switch it on with this load.",
    "ladder": "Work at height: a sound ladder on firm ground, a second person at its foot, power off.",
    "hearing": "From 80 dB(A) on wear hearing protection and keep it short; local rules set the limits.",
    "life-safety": (
        "Fire alarm, voice alarm or emergency paging may run here. This register doesn't cover it: don't alter it; "
        "local codes and licensed practice decide."
    ),
}
