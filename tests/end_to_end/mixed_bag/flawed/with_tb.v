module mod6(input clk, input rst, output reg [2:0] cnt);
  always @(posedge clk) if (rst) cnt <= 0; else cnt <= (cnt == 6) ? 0 : cnt + 1;
endmodule
module mod6_tb;
  reg clk = 0, rst = 1; wire [2:0] cnt;
  mod6 dut(clk, rst, cnt);
  always #5 clk = ~clk;
  initial begin #20 rst = 0; #200 $display("%d", cnt); $finish; end
endmodule
