module bitwise_mod10(clk, rst, do, bit);
  input clk, rst; output [3:0] do; output bit;
  reg [3:0] do;
  assign bit = do[0];
  always @(posedge clk) if (rst) do <= 0; else if (do == 10) do <= 0; else do <= do + 1;
endmodule
