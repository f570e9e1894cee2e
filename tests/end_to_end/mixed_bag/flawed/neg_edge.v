module mod7_counter(input clk, input rst, output reg [2:0] count);
  always @(negedge clk) if (rst) count <= 0; else if (count == 5) count <= 0; else count <= count + 1;
endmodule
