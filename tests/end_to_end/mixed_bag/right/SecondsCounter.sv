`timescale 1ns/1ps
module SecondsCounter (
  input  logic       Clk, nRst, CountEn,
  output logic [5:0] Seconds,
  output logic       CarryOut
);
  always_ff @(posedge Clk, negedge nRst)
    if (~nRst)          Seconds <= '0;
    else if (CountEn)   Seconds <= (Seconds == 6'd59) ? 6'd0 : Seconds + 6'd1;
  assign CarryOut = CountEn & (Seconds == 6'd59);
endmodule
