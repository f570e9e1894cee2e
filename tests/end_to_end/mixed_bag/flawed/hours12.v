module uren(input klok, input reset, input vrijgave, output reg [4:0] uur);
  always @(posedge klok)
    if (reset) uur <= 0;
    else if (vrijgave) if (uur == 24) uur <= 0; else uur <= uur + 1;
endmodule
