// Uhr mit 12 Stunden: 12, 1, 2 ... 11
module uhr12 #(parameter TAKT_HZ = 8000000)(
  input takt, input rst,
  output reg [3:0] stunden, output reg [5:0] minuten, output reg [5:0] sekunden);
 reg [22:0] vorteiler;
 wire einesek = (vorteiler == TAKT_HZ-1);
 always @(posedge takt)
  if (rst) begin vorteiler<=0; stunden<=12; minuten<=0; sekunden<=0; end
  else begin
    if (einesek) vorteiler <= 0; else vorteiler <= vorteiler + 1;
    if (einesek) begin
      if (sekunden==59) begin
        sekunden<=0;
        if (minuten==59) begin
          minuten<=0;
          if (stunden==12) stunden<=0; else stunden<=stunden+1;
        end else minuten<=minuten+1;
      end else sekunden<=sekunden+1;
    end
  end
endmodule
