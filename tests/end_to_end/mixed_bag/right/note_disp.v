// shows a mark from 0 to 31 on two displays, common anode
module note_disp(input [4:0] nota, output reg [6:0] dezenas, output reg [6:0] unidades);
 reg [3:0] u; reg [1:0] d;
 always @* begin
  if (nota >= 30) begin d = 3; u = nota - 30; end
  else if (nota >= 20) begin d = 2; u = nota - 20; end
  else if (nota >= 10) begin d = 1; u = nota - 10; end
  else begin d = 0; u = nota; end
  case (d) 0: dezenas = 7'b1000000; 1: dezenas = 7'b1111001; 2: dezenas = 7'b0100100; 3: dezenas = 7'b0110000; endcase
  case (u) 0:unidades=7'b1000000;1:unidades=7'b1111001;2:unidades=7'b0100100;3:unidades=7'b0110000;4:unidades=7'b0011001;
   5:unidades=7'b0010010;6:unidades=7'b0000010;7:unidades=7'b1111000;8:unidades=7'b0000000;9:unidades=7'b0010000;default:unidades=7'b1111111; endcase
 end
endmodule
