"""From findings to alerts: one state machine (ISA-18.2 / IEC 62682), and what a person may do to it. All of it pure."""
