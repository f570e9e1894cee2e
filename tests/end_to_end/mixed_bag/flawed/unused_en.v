module unused_en_mod10(input clk, input rst, input enable, output reg [3:0] count);
  always @(posedge clk)
    if (rst) count <= 0;
    else count <= (count == 9) ? 0 : count + 1;
endmodule
