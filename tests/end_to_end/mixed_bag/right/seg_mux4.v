`timescale 1ns / 1ps
module seg_mux4(
    input clk, input rst,
    input [15:0] data,
    output reg [3:0] an,
    output reg [6:0] seg
    );
reg [9:0] refresh;
reg [3:0] nib;
always @(posedge clk) if (rst) refresh <= 0; else refresh <= refresh + 1;
always @(*) begin
  case (refresh[9:8])
   2'b00: begin an = 4'b1110; nib = data[3:0];  end
   2'b01: begin an = 4'b1101; nib = data[7:4];  end
   2'b10: begin an = 4'b1011; nib = data[11:8]; end
   2'b11: begin an = 4'b0111; nib = data[15:12]; end
  endcase
end
always @(*) case(nib)
 4'h0: seg = 7'b1000000; 4'h1: seg = 7'b1111001; 4'h2: seg = 7'b0100100; 4'h3: seg = 7'b0110000;
 4'h4: seg = 7'b0011001; 4'h5: seg = 7'b0010010; 4'h6: seg = 7'b0000010; 4'h7: seg = 7'b1111000;
 4'h8: seg = 7'b0000000; 4'h9: seg = 7'b0010000; 4'hA: seg = 7'b0001000; 4'hB: seg = 7'b0000011;
 4'hC: seg = 7'b1000110; 4'hD: seg = 7'b0100001; 4'hE: seg = 7'b0000110; 4'hF: seg = 7'b0001110;
endcase
endmodule
