// seconds on two displays of the board, 50 MHz
module board_seconds(
  input CLOCK_50,
  input reset_n,
  output [6:0] HEX0,
  output [6:0] HEX1
);
  reg [24:0] half; reg clk_1hz; reg [5:0] sec;

  always @(posedge CLOCK_50 or negedge reset_n)
    if (!reset_n) begin
      half <= 25'd0;
      clk_1hz <= 1'b0;
    end else if (half == 25'd24_999_999) begin
      half <= 25'd0;
      clk_1hz <= ~clk_1hz;
    end else
      half <= half + 25'd1;

  always @(posedge clk_1hz or negedge reset_n)
    if (!reset_n) sec <= 6'd0;
    else if (sec == 6'd60) sec <= 6'd0;
    else sec <= sec + 6'd1;

  hex7 h0(.d(sec % 10), .s(HEX0));
  hex7 h1(.d(sec / 10), .s(HEX1));
endmodule

module hex7(input [3:0] d, output reg [6:0] s);
  always @(*)
    case (d)
      4'd0: s = 7'b1000000;
      4'd1: s = 7'b1111001;
      4'd2: s = 7'b0100100;
      4'd3: s = 7'b0110000;
      4'd4: s = 7'b0011001;
      4'd5: s = 7'b0010010;
      4'd6: s = 7'b0000010;
      4'd7: s = 7'b1111000;
      4'd8: s = 7'b0000000;
      4'd9: s = 7'b0010000;
      default: s = 7'b1111111;
    endcase
endmodule
