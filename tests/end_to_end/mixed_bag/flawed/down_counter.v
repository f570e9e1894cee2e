module down_counter_mod10(input clk, input rst, output reg [3:0] count);
  initial count = 9;
  always @(posedge clk) if (rst) count <= 9; else if (count == 0) count <= 10; else count <= count - 1;
endmodule
