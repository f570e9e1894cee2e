// Decade counter on HEX0, one step per press is NOT used: counts every clock (for simulation)
module key_reset(input CLOCK_50, input [3:0] KEY, input [9:0] SW, output [6:0] HEX0, output [9:0] LEDR);
  wire rst = ~KEY[0];
  reg [3:0] cnt;
  always @(posedge CLOCK_50)
    if (rst) cnt <= 0;
    else if (SW[0]) cnt <= (cnt == 9) ? 0 : cnt + 1;
  assign LEDR = {6'b0, cnt};
  sevseg u0 (.x(cnt), .h(HEX0));
endmodule
module sevseg(input [3:0] x, output reg [6:0] h);
  always @* case (x)
    0: h = 7'b1000000; 1: h = 7'b1111001; 2: h = 7'b0100100; 3: h = 7'b0110000; 4: h = 7'b0011001;
    5: h = 7'b0010010; 6: h = 7'b0000010; 7: h = 7'b1111000; 8: h = 7'b0000000; 9: h = 7'b0011000;
    default: h = 7'b1111111; endcase
endmodule
