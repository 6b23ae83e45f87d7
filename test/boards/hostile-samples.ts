/** A small sound text of each format, for tests that damage them. All show one board: a gate, a memory and a resistor. */
export const hostileSamples = {
  "kicad-netlist": `(export (version "E")
  (components
    (comp (ref "U1") (value "74LS00") (libsource (lib "74xx") (part "74LS00") (description "Gate")))
    (comp (ref "U2") (value "2114") (footprint "DIP:DIP-18") (fields (field (name "Maker") "X")))
    (comp (ref "R1") (value "4k7") (property (name "dnp"))))
  (libparts (libpart (lib "74xx") (part "74LS00") (pins (pin (num "1") (name "A") (type "input")))))
  (nets
    (net (code "1") (name "GND") (node (ref "U1") (pin "7")) (node (ref "U2") (pin "9")))
    (net (code "2") (name "/A0") (node (ref "U1") (pin "1") (pintype "input")) (node (ref "R1") (pin "2")))))
`,
  "kicad-xml": `<?xml version="1.0"?>
<export version="E">
  <components>
    <comp ref="U1"><value>74LS00</value><libsource lib="74xx" part="74LS00"/></comp>
    <comp ref="U2"><value>2114 &amp; more</value><fields><field name="Maker">X</field></fields></comp>
    <comp ref="R1"><value><![CDATA[4k7]]></value><property name="dnp"/></comp>
  </components>
  <!-- nets -->
  <nets>
    <net code="1" name="GND"><node ref="U1" pin="7"/><node ref="U2" pin="9"/></net>
    <net code="2" name="/A0"><node ref="U1" pin="1" pintype="input"/><node ref="R1" pin="2"/></net>
  </nets>
</export>
`,
  "kicad-pcb": `(kicad_pcb (version 20221018) (generator pcbnew)
  (net 0 "") (net 1 "GND") (net 2 "/A0")
  (footprint "DIP:DIP-14" (layer "F.Cu") (at 20 30 90)
    (fp_text reference "U1" (at 0 0)) (fp_text value "74LS00" (at 0 0))
    (pad "1" thru_hole rect (at 0 0 90) (net 2 "/A0") (pinfunction "A"))
    (pad "7" thru_hole oval (at 0 15.24 90) (net 1 "GND")))
  (footprint "DIP:DIP-18" (layer "F.Cu") (at 40 30)
    (property "Reference" "U2") (property "Value" "2114")
    (pad "9" thru_hole oval (at 0 20.32) (net 1 "GND")))
  (footprint "R" (layer "B.Cu") (at 40 30) (property "Reference" "R1")
    (pad "2" smd rect (at 1 0) (net 2 "/A0")))
  (gr_rect (start 10 20) (end 60 50) (layer "Edge.Cuts"))
  (gr_arc (start 40 50) (mid 50 40) (end 60 50) (layer "Edge.Cuts"))
)
`,
  "ipc-d-356": `C  made for a test
P  UNITS CUST 0
P  NNAME1 A_VERY_LONG_NET_NAME
317GND              U1    -7    D0320PA00X+012500Y-003400X0600Y0000R000S0
317NNAME1           U1    -1    D0320PA00X+012600Y-003400X0600Y0000R000S0
327NNAME1           R1    -2          A02X+010000Y+000100X0600Y0000R000S0
317GND              U2    -9    D0320PA00X+012500Y-003400X0600Y0000R000S0
389BOARD_EDGE         X0Y0 X22500 Y15000 X0
999
`,
  edif: `(edif (rename b "My board") (edifVersion 2 0 0) (edifLevel 0)
 (Library L (edifLevel 0)
  (cell &74LS00 (view v (viewType NETLIST) (interface
    (port A (direction INPUT) (designator "1")) (port (rename G "GND") (property PIN (string "7"))))))
  (cell R (view v (viewType NETLIST) (interface (port &2 (direction INOUT)))))
  (cell sheet (view v (viewType NETLIST) (interface (port IN (direction INPUT)))
    (contents (instance R1 (viewRef v (cellRef R (libraryRef L))) (property Value (string "4k7")))
      (net x (joined (portRef IN) (portRef &2 (instanceRef R1)))))))
  (cell top (view v (viewType NETLIST) (interface)
    (contents (instance I1 (viewRef v (cellRef &74LS00 (libraryRef L))) (designator "U1"))
      (instance I2 (viewRef v (cellRef &74LS00 (libraryRef L))) (designator "U2"))
      (instance S (viewRef v (cellRef sheet (libraryRef L))))
      (net GND (joined (portRef G (instanceRef I1)) (portRef G (instanceRef I2))))
      (netBundle B (listOfNets (net (rename n2 "/A0") (joined (portRef A (instanceRef I1)) (portRef IN (instanceRef S))))))))))
 (design d (cellRef top (libraryRef L))))
`,
  csv: `ref,pin,net,type
# a gate
U1,7,GND,74LS00
U1,1,"/A0",
U2,9,GND,"2114, fast"
R1,2,/A0,4k7
`,
} as const;
